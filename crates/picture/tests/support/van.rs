//! The invented van of the samples: its circuits and its job file's nodes.

use super::*;

/// Circuits of an invented van, with their usual settled draw in milliampere.
pub(super) const NAMES: [(&str, f64); 60] = [
    ("Radio / hands-free", 3.0),
    ("Body control", 6.0),
    ("Alarm siren", 4.0),
    ("Tracker", 3.5),
    ("Clock", 1.0),
    ("Central locking", 2.5),
    ("Door module, left", 1.2),
    ("Door module, right", 1.2),
    ("Instrument panel", 2.0),
    ("Engine computer", 1.5),
    ("Gearbox computer", 0.8),
    ("Brake computer", 0.6),
    ("Airbag", 0.3),
    ("Steering", 0.4),
    ("Parking heater", 1.0),
    ("Heater fan", 0.1),
    ("Rear wiper", 0.0),
    ("Front wiper", 0.0),
    ("Horn", 0.0),
    ("Dipped beam, left", 0.0),
    ("Dipped beam, right", 0.0),
    ("Main beam, left", 0.0),
    ("Main beam, right", 0.0),
    ("Side lights", 0.0),
    ("Brake lights", 0.0),
    ("Reversing lights", 0.0),
    ("Interior lamp", 0.0),
    ("Load area lamp", 0.0),
    ("Glove box lamp", 0.0),
    ("Cigar socket", 0.0),
    ("Rear socket", 0.0),
    ("Tow socket", 0.5),
    ("Tow socket, permanent", 0.5),
    ("Dash camera", 0.0),
    ("Mirror heater", 0.0),
    ("Rear window heater", 0.0),
    ("Seat heater, left", 0.2),
    ("Seat heater, right", 0.2),
    ("Seat, electric", 0.5),
    ("Window, left", 0.3),
    ("Window, right", 0.3),
    ("Sliding door", 0.6),
    ("Step, electric", 0.2),
    ("Fuel pump", 0.0),
    ("Injectors", 0.0),
    ("Glow plugs", 0.0),
    ("Oxygen sensors", 0.0),
    ("Air mass meter", 0.0),
    ("Cooling fan 1", 0.1),
    ("Cooling fan 2", 0.1),
    ("Compressor clutch", 0.0),
    ("Diagnostic socket", 0.5),
    ("Telephone", 1.0),
    ("Rain sensor", 0.3),
    ("Reversing camera", 0.4),
    ("Distance sensors", 0.4),
    ("Tyre pressure", 0.4),
    ("Trailer module", 0.6),
    ("Cool box", 0.0),
    ("Beacon", 0.0),
];

pub(super) fn node(
    id: &str,
    parent: &str,
    kind: NodeKind,
    label: &str,
    draw_ma: Quantiles,
    p: f64,
) -> NodeAssessment {
    let ma = |x: f64| x / 1000.0;
    NodeAssessment {
        id: NodeId(id.into()),
        parent: (!parent.is_empty()).then(|| NodeId(parent.into())),
        kind,
        label: label.into(),
        keeps_settings: matches!(label, "Radio / hands-free" | "Engine computer" | "Clock"),
        draw: q(ma(draw_ma.p05), ma(draw_ma.p50), ma(draw_ma.p95)),
        mean_a: ma(draw_ma.p50 * 0.5 + (draw_ma.p05 + draw_ma.p95) * 0.25),
        normal_a: ma(draw_ma.p05 * 0.5 + draw_ma.p50 * 0.5).min(0.012),
        p_fault: p,
        entries: Vec::new(),
    }
}

/// The van's tree: three cables, sixty fuses, a load each. `load` gives draw and suspicion.
pub(super) fn van(load: impl Fn(usize, f64) -> (Quantiles, f64)) -> Vec<NodeAssessment> {
    let mut loads: Vec<(usize, NodeAssessment, NodeAssessment)> = Vec::new();
    for (at, (name, usual)) in NAMES.iter().enumerate() {
        let (draw, p) = load(at, *usual);
        let cable = at % 3;
        let fuse = format!("F{}", at + 1);
        let parent = ["engine-box", "cabin-box", "rear-feed"][cable];
        loads.push((
            cable,
            node(&fuse, parent, NodeKind::Fuse, &fuse, draw, p),
            node(
                &format!("load-{}", at + 1),
                &fuse,
                NodeKind::Load,
                name,
                draw,
                p,
            ),
        ));
    }
    let sum = |filter: &dyn Fn(usize) -> bool| {
        let some = loads.iter().filter(|l| filter(l.0));
        some.fold((q(0.0, 0.0, 0.0), 1.0), |(d, clear), l| {
            let draw = l.1.draw;
            let d = q(
                d.p05 + draw.p05 * 1e3,
                d.p50 + draw.p50 * 1e3,
                d.p95 + draw.p95 * 1e3,
            );
            (d, clear * (1.0 - l.1.p_fault))
        })
    };
    let (all, clear) = sum(&|_| true);
    let mut nodes = vec![node(
        "battery",
        "",
        NodeKind::Battery,
        "Battery",
        all,
        1.0 - clear,
    )];
    for (cable, (id, label)) in [
        ("engine-box", "Engine box cable"),
        ("cabin-box", "Cabin box cable"),
        ("rear-feed", "Rear feed"),
    ]
    .iter()
    .enumerate()
    {
        let (draw, clear) = sum(&|c| c == cable);
        nodes.push(node(
            id,
            "battery",
            NodeKind::Cable,
            label,
            draw,
            1.0 - clear,
        ));
    }
    for (_, fuse, load) in loads {
        nodes.push(fuse);
        nodes.push(load);
    }
    nodes
}

pub(super) fn specs(nodes: &[NodeAssessment]) -> Vec<NodeSpec> {
    nodes
        .iter()
        .filter_map(|n| {
            let mut spec = NodeSpec::new(&n.id.0, &n.parent.as_ref()?.0, n.kind);
            spec.label = Some(n.label.clone());
            if n.kind == NodeKind::Fuse {
                spec.rating_a = Some([5.0, 7.5, 10.0, 15.0, 20.0, 30.0][n.id.0.len() * 7 % 6]);
                spec.in_place = true;
            }
            Some(spec)
        })
        .collect()
}
