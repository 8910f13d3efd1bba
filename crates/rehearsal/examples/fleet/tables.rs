//! Prints what came out.

use rehearsal::fleet::Reach;

use crate::{
    Case,
    rivals::Rule,
    score::{Run, Spent},
};

/// All about one setting.
pub(crate) fn print(reach: Reach, cases: &[Case]) {
    let which = match reach {
        Reach::All => "all fuses",
        Reach::Half => "half of the fuses",
        Reach::None => "no fuses",
    };
    println!(
        "\n## {which} can be read in place, {} vehicles\n",
        cases.len()
    );
    println!(
        "| who | right | minutes: mean | 5 % | 50 % | 95 % | tests | wake-ups | settings lost |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    let planned: Vec<&Run> = cases.iter().map(|case| &case.planned).collect();
    row("planner", &planned);
    for (at, rule) in Rule::ALL.into_iter().enumerate() {
        let runs: Vec<&Run> = cases.iter().map(|case| &case.rivals[at]).collect();
        row(rule.name(), &runs);
    }
    let bound = mean(cases.iter().map(|case| case.clairvoyant_min));
    println!("| who knows the fault beforehand | | {bound:.2} | | | | | | |");
    println!();
    let ours = mean(planned.iter().map(|run| run.minutes));
    for (at, rule) in Rule::ALL.into_iter().enumerate() {
        let theirs = mean(cases.iter().map(|case| case.rivals[at].minutes));
        let mut each: Vec<f64> = cases
            .iter()
            .map(|case| case.planned.minutes / case.rivals[at].minutes)
            .collect();
        println!(
            "planner / {}: {:.3} of the mean ({:.3} for who knows beforehand); by vehicle 5 % {:.2}, 50 % {:.2}, 95 % {:.2}",
            rule.name(),
            ours / theirs,
            bound / theirs,
            quantile(&mut each, 0.05),
            quantile(&mut each, 0.5),
            quantile(&mut each, 0.95),
        );
    }
    let asked = cases.iter().filter(|case| case.planned.asked).count();
    let lost: usize = planned.iter().map(|run| run.lost).sum();
    println!(
        "\nsettings lost without permission: {lost}; permission asked for on {asked} vehicles"
    );
    spent(cases);
    particulars(cases);
    println!("\nReliability, every circuit after every reading:\n");
    reliability(planned.iter().flat_map(|run| &run.stated).copied());
    println!("\nReliability of what was named in the end:\n");
    reliability(planned.iter().flat_map(|run| &run.stated_named).copied());
}

fn row(name: &str, runs: &[&Run]) {
    let right = runs.iter().filter(|run| run.right).count() as f64 / runs.len() as f64;
    let mut minutes: Vec<f64> = runs.iter().map(|run| run.minutes).collect();
    println!(
        "| {name} | {:.1} % | {:.2} | {:.1} | {:.1} | {:.1} | {:.1} | {:.2} | {:.2} |",
        100.0 * right,
        mean(minutes.iter().copied()),
        quantile(&mut minutes, 0.05),
        quantile(&mut minutes, 0.5),
        quantile(&mut minutes, 0.95),
        mean(runs.iter().map(|run| run.tests as f64)),
        mean(runs.iter().map(|run| run.woke as f64)),
        mean(runs.iter().map(|run| (run.lost + run.lost_allowed) as f64)),
    );
}

/// Where the mean minutes went.
fn spent(cases: &[Case]) {
    println!(
        "\n| mean minutes | total | in place | hands at fuses | until asleep again | for a draw that went |"
    );
    println!("| --- | --- | --- | --- | --- | --- |");
    let row = |name: &str, of: &dyn Fn(&Case) -> Spent| {
        let part = |part: fn(&Spent) -> f64| mean(cases.iter().map(|case| part(&of(case))));
        println!(
            "| {name} | {:.2} | {:.2} | {:.2} | {:.2} | {:.2} |",
            part(|s| s.total),
            part(|s| s.in_place),
            part(|s| s.hands),
            part(|s| s.asleep_again),
            part(|s| s.gone),
        );
    };
    row("planner", &|case| case.planned.spent);
    for (at, rule) in Rule::ALL.into_iter().enumerate() {
        row(rule.name(), &|case| case.rivals[at].spent);
    }
}

fn particulars(cases: &[Case]) {
    println!("\n| vehicles with | how many | right | minutes |\n| --- | --- | --- | --- |");
    let mut kinds: Vec<&str> = cases.iter().map(|case| case.particular).collect();
    kinds.sort_unstable();
    kinds.dedup();
    for kind in kinds {
        let these: Vec<&Case> = cases.iter().filter(|c| c.particular == kind).collect();
        let right = these.iter().filter(|case| case.planned.right).count();
        println!(
            "| {kind} | {} | {:.1} % | {:.1} |",
            these.len(),
            100.0 * right as f64 / these.len() as f64,
            mean(these.iter().map(|case| case.planned.minutes)),
        );
    }
}

/// Stated probability against what was true, in tenths and finer at the ends.
fn reliability(stated: impl Iterator<Item = (f64, bool)>) {
    const EDGES: [f64; 13] = [
        0.0, 0.001, 0.01, 0.03, 0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 0.99, 1.0,
    ];
    let mut bins = [(0usize, 0.0, 0usize); EDGES.len() - 1];
    for (p, true_) in stated {
        let at = EDGES[1..].iter().position(|&edge| p < edge);
        let bin = &mut bins[at.unwrap_or(EDGES.len() - 2)];
        bin.0 += 1;
        bin.1 += p;
        bin.2 += usize::from(true_);
    }
    println!("| stated between | how often | mean stated | true |\n| --- | --- | --- | --- |");
    for (at, (count, sum, true_)) in bins.into_iter().enumerate() {
        if count > 0 {
            println!(
                "| {} and {} | {count} | {:.4} | {:.4} |",
                EDGES[at],
                EDGES[at + 1],
                sum / count as f64,
                true_ as f64 / count as f64,
            );
        }
    }
}

/// What went wrong.
pub(crate) fn failures(cases: &[Case]) {
    println!();
    for case in cases.iter().filter(|case| !case.planned.right) {
        println!(
            "seed {}: {}, {} fuses, {:.1} min, named {:?}, {}",
            case.seed,
            case.particular,
            case.fuses,
            case.planned.minutes,
            case.planned.named,
            case.planned.because
        );
    }
}

/// What took longest.
pub(crate) fn slowest(cases: &[Case]) {
    let mut slow: Vec<&Case> = cases.iter().collect();
    slow.sort_by(|a, b| b.planned.minutes.total_cmp(&a.planned.minutes));
    for case in slow.into_iter().take(6) {
        println!(
            "slow: seed {}: {}, {} fuses, {:.1} min, box order {:.1} min",
            case.seed,
            case.particular,
            case.fuses,
            case.planned.minutes,
            case.rivals.first().map_or(0.0, |run| run.minutes),
        );
    }
}

/// One vehicle, step by step.
pub(crate) fn trail(case: &Case) {
    println!(
        "seed {}: {}, {} fuses",
        case.seed, case.particular, case.fuses
    );
    for line in &case.planned.trail {
        println!("  {line}");
    }
    println!(
        "  {:.1} min, named {:?}, right: {}; {}",
        case.planned.minutes, case.planned.named, case.planned.right, case.planned.because
    );
    for (at, rule) in Rule::ALL.into_iter().enumerate() {
        println!("  {}: {:.1} min", rule.name(), case.rivals[at].minutes);
    }
}

fn mean(of: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0_f64);
    for value in of {
        sum += value;
        count += 1.0;
    }
    sum / count.max(1.0)
}

fn quantile(values: &mut [f64], q: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let at = (q * values.len().saturating_sub(1) as f64).round() as usize;
    values.get(at).copied().unwrap_or(f64::NAN)
}
