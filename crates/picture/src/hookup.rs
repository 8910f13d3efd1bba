//! One step of a hook-up: battery, cable, bypass, instrument, and what feeds
//! the vehicle.

use harness::hookup::{Bypass, Cable, Scene, Step, Supply, Tool};
use tongue::{Message, say};

use crate::{
    Drawing, Style,
    canvas::{Canvas, Rect, Type, box_path, n},
    theme::Tone,
};

/// Where things stand, in the picture's own pixels.
struct Place {
    battery: Rect,
    vehicle: Rect,
    /// Top of the negative post.
    post: (f64, f64),
    /// The cable's clamp.
    clamp: (f64, f64),
}

const HEIGHT: f64 = 176.0;
/// Thickness of a line that carries the vehicle's current, and of one that does not.
const CARRIES: f64 = 6.0;
const IDLE: f64 = 2.5;

/// The step, as SVG.
pub(crate) fn hook_up(step: &Step, style: &Style) -> Drawing {
    let mut canvas = Canvas::new(style);
    let place = place(canvas.width, step.scene);
    // Only a fuse is touched: the battery has no part in it.
    if matches!(
        step.scene.tool,
        Tool::TipsTogether | Tool::TipsOnFuse | Tool::TipsSwapped
    ) {
        fuse(&mut canvas, step.scene.tool);
    } else {
        battery(&mut canvas, &place);
        cable(&mut canvas, &place, step);
        bypass(&mut canvas, &place, step);
        tool(&mut canvas, &place, step);
    }
    fed_by(&mut canvas, step.supply);
    canvas.finish(HEIGHT, &say::picture::hook_up().to_string(), &finding(step))
}

/// What the picture shows, in one sentence.
pub(crate) fn finding(step: &Step) -> String {
    let Scene {
        cable,
        bypass,
        tool,
    } = step.scene;
    let cable = match cable {
        Cable::On => say::picture::hook_cable_on(),
        Cable::Off => say::picture::hook_cable_off(),
        Cable::Touching => say::picture::hook_cable_touching(),
    };
    let bypass = match bypass {
        Bypass::Away => None,
        Bypass::On => Some(say::picture::hook_bypass_on()),
        Bypass::OneEnd => Some(say::picture::hook_bypass_open()),
    };
    let tool = match tool {
        Tool::Away => None,
        Tool::ClampBeside => Some(say::picture::hook_clamp_beside()),
        Tool::ClampAround => Some(say::picture::hook_clamp_around()),
        Tool::ClampTurned => Some(say::picture::hook_clamp_turned()),
        Tool::TipsTogether => Some(say::picture::hook_tips_together()),
        Tool::TipsOnFuse => Some(say::picture::hook_tips_on()),
        Tool::TipsSwapped => Some(say::picture::hook_tips_swapped()),
        Tool::MeterReady => Some(say::picture::hook_meter_ready()),
        Tool::MeterBetween => Some(say::picture::hook_meter_between()),
        Tool::ShuntBetween => Some(say::picture::hook_shunt_between()),
    };
    let fed = fed_words(step.supply);
    match (bypass, tool) {
        (None, None) => say::picture::hook_finding(cable, fed),
        (Some(bypass), None) => say::picture::hook_finding_bypass(bypass, cable, fed),
        (None, Some(tool)) => say::picture::hook_finding_tool(cable, fed, tool),
        (Some(bypass), Some(tool)) => say::picture::hook_finding_both(bypass, cable, fed, tool),
    }
    .to_string()
}

fn fed_words(supply: Supply) -> Message {
    match supply {
        Supply::Untouched => say::picture::hook_fed_own(),
        Supply::Bypass => say::picture::hook_fed_bypass(),
        Supply::Meter => say::picture::hook_fed_meter(),
        Supply::Shunt => say::picture::hook_fed_shunt(),
    }
}

fn place(width: f64, scene: Scene) -> Place {
    let battery = Rect {
        x: 10.0,
        y: 84.0,
        w: 104.0,
        h: 56.0,
    };
    let post = (84.0, battery.y - 12.0);
    let clamp = match scene.cable {
        Cable::On => (post.0, post.1),
        Cable::Touching => (post.0 + 13.0, post.1 - 4.0),
        Cable::Off => ((width * 0.5).clamp(170.0, 260.0), post.1),
    };
    Place {
        battery,
        vehicle: Rect {
            x: width - 104.0,
            y: 62.0,
            w: 94.0,
            h: 46.0,
        },
        post,
        clamp,
    }
}

fn battery(canvas: &mut Canvas, place: &Place) {
    let b = place.battery;
    canvas.shape(&box_path(b), Tone::Panel, Tone::Edge, 2.0);
    for x in [34.0, place.post.0] {
        let post = Rect {
            x: x - 9.0,
            y: b.y - 14.0,
            w: 18.0,
            h: 14.0,
        };
        canvas.shape(&box_path(post), Tone::Faint, Tone::Edge, 2.0);
    }
    let sign = Type::plain(20.0).bold().middle();
    canvas.text(34.0, b.y + 22.0, sign, "+");
    canvas.text(place.post.0, b.y + 22.0, sign, "\u{2212}");
    let name = Type::plain(13.0).middle();
    canvas.text(
        b.x + b.w / 2.0,
        b.y + 45.0,
        name,
        &say::picture::hook_battery().to_string(),
    );
    let v = place.vehicle;
    canvas.shape(&box_path(v), Tone::Panel, Tone::Edge, 2.0);
    canvas.text(
        v.x + v.w / 2.0,
        v.y + v.h / 2.0 + 5.0,
        name,
        &say::picture::hook_vehicle().to_string(),
    );
}

/// The negative cable with its clamp.
fn cable(canvas: &mut Canvas, place: &Place, step: &Step) {
    let (x, y) = place.clamp;
    let v = place.vehicle;
    let bend = v.x - 18.0;
    let d = format!(
        "M{} {}H{}L{} {}",
        n(x),
        n(y),
        n(bend),
        n(v.x),
        n(v.y + v.h / 2.0)
    );
    // Past the clamp the cable always carries; it is the joint that does not.
    canvas.stroke(&d, Tone::Level, CARRIES, None);
    let ring = format!("M{} {}a11 11 0 1 0 .1 0z", n(x), n(y - 11.0));
    let on = step.scene.cable == Cable::On;
    canvas.shape(
        &ring,
        if on { Tone::Level } else { Tone::Paper },
        Tone::Level,
        3.0,
    );
    if step.scene.cable != Cable::On {
        let kind = Type::plain(13.0).bold().middle();
        let text = if step.scene.cable == Cable::Off {
            say::picture::hook_off()
        } else {
            say::picture::hook_touches()
        };
        let text = &text.to_string();
        // Clear of the bypass above and the instrument below.
        let at = if step.scene.cable == Cable::Off {
            x + 30.0
        } else {
            x + 48.0
        };
        canvas.text_on(at, y - 12.0, kind, text, Tone::Paper);
    }
}

/// The bypass lead with its fuse, an arc from the post to the clamp; beside the
/// post it ends on the cable, where the clamp's ring leaves no room.
fn bypass(canvas: &mut Canvas, place: &Place, step: &Step) {
    let state = step.scene.bypass;
    if state == Bypass::Away {
        return;
    }
    let (x0, y0) = (place.post.0 - 7.0, place.post.1);
    let reach = if step.scene.cable == Cable::Off {
        place.clamp.0
    } else {
        place.clamp.0 + 110.0
    };
    let top = 22.0;
    let carries = step.supply == Supply::Bypass;
    let (width, tone) = if carries {
        (CARRIES, Tone::Level)
    } else {
        (IDLE, Tone::Edge)
    };
    let end = if state == Bypass::On {
        (reach, y0)
    } else {
        // Unclipped: it hangs in the air, away from everything.
        (reach - 28.0, top + 22.0)
    };
    let d = format!("M{} {}V{top}H{}V{}", n(x0), n(y0), n(end.0), n(end.1));
    let dash: Option<&[f64]> = (state == Bypass::OneEnd).then_some(&[7.0, 5.0]);
    canvas.stroke(&d, tone, width, dash);
    let middle = f64::midpoint(x0, end.0);
    let body = Rect {
        x: middle - 13.0,
        y: top - 7.0,
        w: 26.0,
        h: 14.0,
    };
    canvas.shape(&box_path(body), Tone::Paper, tone, 2.0);
    canvas.stroke(&format!("M{} {top}h18", n(middle - 9.0)), tone, 2.0, None);
    let kind = Type::plain(13.0).tone(Tone::Soft);
    canvas.text(
        end.0 + 10.0,
        top + 5.0,
        kind,
        &say::picture::hook_fused_bypass().to_string(),
    );
}

fn tool(canvas: &mut Canvas, place: &Place, step: &Step) {
    match step.scene.tool {
        Tool::ClampBeside | Tool::ClampAround | Tool::ClampTurned => {
            jaws(canvas, place, step.scene.tool);
        }
        Tool::MeterReady => meter(canvas, place, step, false),
        Tool::MeterBetween => meter(canvas, place, step, true),
        Tool::ShuntBetween => shunt(canvas, place),
        Tool::Away | Tool::TipsTogether | Tool::TipsOnFuse | Tool::TipsSwapped => {}
    }
}

/// A clamp meter: two jaws around the cable or beside it, and an arrow for its side.
fn jaws(canvas: &mut Canvas, place: &Place, tool: Tool) {
    let x = f64::midpoint(place.clamp.0, place.vehicle.x) + 6.0;
    let around = tool != Tool::ClampBeside;
    let y = if around {
        place.clamp.1
    } else {
        place.clamp.1 - 46.0
    };
    let d = format!("M{} {}a19 22 0 1 0 .1 0z", n(x), n(y - 22.0));
    canvas.stroke(&d, Tone::Ink, 5.0, None);
    let handle = Rect {
        x: x - 13.0,
        y: y + 24.0,
        w: 26.0,
        h: 30.0,
    };
    canvas.shape(&box_path(handle), Tone::Panel, Tone::Ink, 2.0);
    let kind = Type::plain(13.0).bold();
    if !around {
        canvas.text(
            x + 28.0,
            y + 5.0,
            kind,
            &say::picture::hook_set_to_zero().to_string(),
        );
        return;
    }
    let (tip, tail) = if tool == Tool::ClampTurned {
        (x - 50.0, x - 26.0)
    } else {
        (x - 26.0, x - 50.0)
    };
    let back = if tip > tail { -7.0 } else { 7.0 };
    let arrow = format!(
        "M{} {y}H{}M{} {}L{} {y}L{} {}",
        n(tail),
        n(tip),
        n(tip + back),
        n(y - 20.0 - 6.0 + 0.0),
        n(tip),
        n(tip + back),
        n(y - 20.0 + 6.0),
        y = n(y - 20.0)
    );
    canvas.stroke(&arrow, Tone::Ink, 2.5, None);
    let said = if tool == Tool::ClampTurned {
        say::picture::hook_turned_round()
    } else {
        say::picture::hook_around_cable()
    };
    canvas.text(x + 20.0, y + 52.0, kind, &said.to_string());
}

/// A meter for current below post and clamp; joined to both, or lying ready.
fn meter(canvas: &mut Canvas, place: &Place, step: &Step, joined: bool) {
    let right = if step.scene.cable == Cable::Off {
        place.clamp.0
    } else {
        place.clamp.0 + 80.0
    };
    let body = Rect {
        x: 126.0,
        y: 112.0,
        w: 66.0,
        h: 34.0,
    };
    let carries = step.supply == Supply::Meter;
    if joined {
        let (tone, width) = if carries {
            (Tone::Level, CARRIES)
        } else {
            (Tone::Edge, IDLE)
        };
        let (post_x, post_y) = (place.post.0 + 7.0, place.post.1);
        let d = format!(
            "M{} {}L{} {}V{}",
            n(post_x),
            n(post_y),
            n(body.x + 12.0),
            n(post_y + 24.0),
            n(body.y)
        );
        canvas.stroke(&d, tone, width, None);
        let d = format!(
            "M{} {}V{}L{} {}",
            n(body.x + body.w - 12.0),
            n(body.y),
            n(body.y - 14.0),
            n(right),
            n(place.clamp.1 + 8.0)
        );
        canvas.stroke(&d, tone, width, None);
    }
    canvas.shape(&box_path(body), Tone::Paper, Tone::Ink, 2.5);
    let kind = Type::plain(16.0).bold().middle();
    let shown = if step.scene.cable == Cable::Touching {
        "\u{2248} 0 A"
    } else {
        "10 A"
    };
    canvas.text(body.x + body.w / 2.0, body.y + 23.0, kind, shown);
    let said = match (joined, carries) {
        (false, _) => say::picture::hook_not_connected(),
        (true, true) => say::picture::hook_carries_all(),
        (true, false) => say::picture::hook_carries_part(),
    };
    let kind = Type::plain(13.0).tone(Tone::Soft);
    canvas.text(
        body.x + body.w + 8.0,
        body.y + 22.0,
        kind,
        &said.to_string(),
    );
}

/// A shunt bolted between post and clamp, with its two sense wires.
fn shunt(canvas: &mut Canvas, place: &Place) {
    let (a, b) = (place.post.0 + 9.0, place.clamp.0 - 11.0);
    let y = place.post.1;
    canvas.stroke(
        &format!("M{} {}H{}", n(a), n(y), n(b)),
        Tone::Level,
        CARRIES,
        None,
    );
    let body = Rect {
        x: f64::midpoint(a, b) - 24.0,
        y: y - 10.0,
        w: 48.0,
        h: 20.0,
    };
    canvas.shape(&box_path(body), Tone::Band, Tone::Ink, 2.5);
    for x in [body.x + 9.0, body.x + body.w - 9.0] {
        canvas.stroke(
            &format!("M{} {}v34", n(x), n(y + 10.0)),
            Tone::Ink,
            1.6,
            None,
        );
    }
    let kind = Type::plain(13.0).bold();
    canvas.text(body.x - 2.0, y + 58.0, kind, "mV");
    let kind = Type::plain(13.0).tone(Tone::Soft);
    canvas.text(
        body.x + 28.0,
        y + 58.0,
        kind,
        &say::picture::hook_sense_wires().to_string(),
    );
}

/// A blade fuse in its place, seen from above, with the meter's two tips.
fn fuse(canvas: &mut Canvas, tool: Tool) {
    let middle = canvas.width / 2.0;
    let body = Rect {
        x: middle - 62.0,
        y: 84.0,
        w: 124.0,
        h: 36.0,
    };
    canvas.shape(&box_path(body), Tone::Panel, Tone::Edge, 2.0);
    let points = [body.x + 22.0, body.x + body.w - 22.0];
    canvas.stroke(
        &format!("M{} {}H{}", n(points[0]), n(body.y + 18.0), n(points[1])),
        Tone::Level,
        CARRIES,
        None,
    );
    for x in points {
        let spot = Rect {
            x: x - 8.0,
            y: body.y + 10.0,
            w: 16.0,
            h: 16.0,
        };
        canvas.shape(&box_path(spot), Tone::Paper, Tone::Ink, 2.0);
    }
    let name = Type::plain(13.0).tone(Tone::Soft).middle();
    canvas.text(
        middle,
        body.y + 52.0,
        name,
        &say::picture::hook_fuse_in_place().to_string(),
    );
    let meter = Rect {
        x: middle - 33.0,
        y: 8.0,
        w: 66.0,
        h: 30.0,
    };
    let apart = tool != Tool::TipsTogether;
    let (plus, minus) = match tool {
        Tool::TipsSwapped => (points[1], points[0]),
        Tool::TipsOnFuse => (points[0], points[1]),
        _ => (middle + 92.0, middle + 98.0),
    };
    let down = if apart { body.y + 16.0 } else { 66.0 };
    for (from, to, dash) in [
        (meter.x + 14.0, plus, None),
        (meter.x + meter.w - 14.0, minus, Some(&[6.0, 4.0][..])),
    ] {
        let d = format!(
            "M{} {}C{} 62 {} 40 {} {}",
            n(from),
            n(meter.y + meter.h),
            n(from),
            n(to),
            n(to),
            n(down)
        );
        canvas.stroke(&d, Tone::Ink, 2.5, dash);
    }
    canvas.shape(&box_path(meter), Tone::Paper, Tone::Ink, 2.5);
    canvas.text(
        middle,
        meter.y + 21.0,
        Type::plain(16.0).bold().middle(),
        if apart { "mV" } else { "0 mV" },
    );
    let said = match tool {
        Tool::TipsTogether => Some(say::picture::hook_tips_short()),
        Tool::TipsSwapped => Some(say::picture::hook_swapped()),
        _ => None,
    };
    if !apart {
        let touch = format!("M{} {}a6 6 0 1 0 .1 0z", n(minus - 3.0), n(down - 6.0));
        canvas.stroke(&touch, Tone::Ink, 2.0, None);
    }
    if let Some(said) = said {
        let (x, y) = (meter.x + meter.w + 12.0, meter.y + 20.0);
        canvas.text(x, y, Type::plain(13.0).bold(), &said.to_string());
    }
}

/// The words under the picture, with a mark that does not need colour.
fn fed_by(canvas: &mut Canvas, supply: Supply) {
    let interrupted = supply.waking_interrupts();
    let y = HEIGHT - 10.0;
    let tone = if interrupted { Tone::Limit } else { Tone::Ink };
    let said = match supply {
        Supply::Untouched => say::picture::hook_own_cable(),
        Supply::Bypass => say::picture::hook_by_bypass(),
        Supply::Meter => say::picture::hook_through_meter(),
        Supply::Shunt => say::picture::hook_through_shunt(),
    };
    let kind = Type::plain(14.0).bold().tone(tone);
    canvas.text(10.0, y, kind, &said.to_string());
}
