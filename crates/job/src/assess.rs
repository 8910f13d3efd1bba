//! From job to assessment.
//!
//! Entries become readings with uncertainty ([`evidence`]), readings a
//! posterior over the feed tree, the posterior a plan; beside it stand the
//! battery, the forecast and the cause of the complaint. Every part is
//! computed by a lower room; here they are brought together and put in words.

mod away;
mod battery;
mod behaviour;
mod commons;
mod evidence;
mod fuses;
mod learned;
pub(crate) mod lesson;
mod logged;
mod meters;
mod parts;
mod pulled;
mod steps;
mod warnings;

use diagnosis::{
    Belief, BeliefOptions, EvidenceKind, History, LoadModels, PlanOptions,
    cause::{CauseEvidence, Check, WakeUps, causes, checks},
    model::family_of,
};
use harness::{FeedTree, NodeId, NodeKind, family::Families};
use measure::{Instrument, InstrumentKind, Uncertain, quantity::Ampere};
use tongue::{Message, percent, say};
use trace::Exceeds;

use crate::{
    Assessment, CheckWorth, Culprit, EntryId, EntryKind, Job, NodeAssessment, Odds, Outside,
    TraceFinding,
};
use evidence::Gathered;
use parts::Trees;
use warnings::Warnings;

/// 97.5 % quantile of the standard normal (JCGM 100:2008, table G.1).
const SURE: f64 = 1.96;
/// Chance from which a voltage drop is warned of. Common practice.
const DROP_SURE: f64 = 0.75;

/// Everything Nightdraw makes of one job: a pure function of the job.
/// What other jobs taught is left out; see [`assess_with`].
pub fn assess(job: &Job) -> Assessment {
    assess_with(job, &History::default())
}

/// The same with what other finished jobs taught: a pure function of both.
///
/// Once a repair stands, draw, circuits and forecast are those after it. The
/// complaint is older than the repair, and so are its odds and explanation:
/// they stay as they were found, or the proven repair would look groundless.
pub fn assess_with(job: &Job, history: &History) -> Assessment {
    let mut assessment = as_it_stands(job, history);
    if let Some(before) = job.before_repair() {
        let before = as_it_stands(&before, history);
        assessment.cause = before.cause;
        assessment.explanation = before.explanation;
    }
    assessment
}

/// How the battery of a job stands there: as tested, with the draw that counts.
pub(crate) fn parked(job: &Job, assessment: &Assessment) -> ::battery::Parking {
    battery::parked(job, &assessment.battery, assessment.long_run)
}

fn as_it_stands(job: &Job, history: &History) -> Assessment {
    let mut warnings = Warnings::default();
    let trees = Trees::of(job, &mut warnings);
    let gathered = evidence::gather(job, &trees.parts, &mut warnings);
    let limit_a = job.limit_in_force_a();
    let shown = behaviour::of_job(&gathered, limit_a);
    let repaired = [
        trees.searched(&gathered.resolved),
        gathered.resolved.clone(),
    ]
    .concat();
    let models = |tree: &FeedTree| {
        LoadModels::from_history(tree, Families::built_in(), history)
            .informed(tree, Families::built_in(), &shown)
            .repaired(&repaired)
    };
    let of_parts = diagnosis::believe_shared(
        &trees.parts,
        &models(&trees.parts),
        &gathered.evidence,
        &gathered.shared,
        &BeliefOptions::default(),
    );
    warnings.of_belief(&of_parts);
    let belief = trees.told(of_parts.clone());
    let tree = &trees.search;
    let options = plan_options(job, &gathered, &trees).expect(
        &trees.parts,
        &models(&trees.parts),
        &gathered.evidence,
        &belief,
        &BeliefOptions::default(),
    );
    let plan = diagnosis::plan(tree, &models(tree), &belief, &tools(job), &options);
    let (done, because) = (plan.done && gathered.total_read, plan.because.clone());
    let culprits = culprits(&trees, [&belief, &of_parts], &plan.culprits);
    let trace = trace_finding(tree, &gathered);
    let long_run = gathered.long_run.or(belief.total);
    let exceeds = compare(long_run, limit_a);
    let judgement = battery::judgement(job);
    let (forecast, forecast_missing) = match battery::forecast(job, &judgement, long_run) {
        Ok(forecast) => (Some(forecast), None),
        Err(missing) => (None, Some(missing)),
    };
    warn_of_limit(job, &belief, &mut warnings);
    warn_of_outside(&belief, &mut warnings);
    if done {
        warn_of_fuses_out(tree, &gathered.out, &mut warnings);
        warn_of_cables(tree, &plan.culprits, &mut warnings);
    }
    let drops = drops(job, &mut warnings);
    let evidence = CauseEvidence {
        drops,
        alternator_off: alternator_off(tree, &gathered),
        gone_a: gathered.went_a,
        ..cause_evidence(job, &belief, trace.as_ref(), long_run, &judgement)
    };
    let checks = checks(&evidence);
    let mut steps = steps::steps(job, tree, &gathered, plan, &checks, exceeds);
    behaviour::tell(&mut steps, tree, &belief, &gathered, &shown);
    learned::tell(&mut steps, tree, &belief, history);
    let explanation = battery::explanation(job, &judgement, long_run);
    let mut assessment = Assessment {
        total: belief.total,
        long_run,
        limit_a,
        exceeds,
        summary: Message::default(),
        nodes: nodes(job, &trees, &belief),
        unaccounted: belief.unaccounted,
        culprits,
        outside: outside(&belief),
        done,
        done_because: if done { because } else { Message::default() },
        next: steps.next,
        alternatives: steps.alternatives,
        excluded: steps.excluded,
        forecast,
        forecast_missing,
        battery: judgement,
        cause: odds(&evidence, &checks),
        explanation,
        trace,
        learned_from: history.jobs,
        fuses: gathered.fuses,
        warnings: warnings.0,
    };
    assessment.summary = summary(&assessment, tree);
    assessment
}

/// How the search may go on, by the job's settings and what was done so far.
fn plan_options(job: &Job, gathered: &Gathered, trees: &Trees) -> PlanOptions {
    let usual = PlanOptions::default();
    PlanOptions {
        limit_a: job.limit_in_force_a(),
        allow_settings_loss: job.settings_may_be_lost,
        resleep_min: gathered.settle_min.unwrap_or(usual.resleep_min),
        asleep_now: gathered.asleep_now,
        wait_min: gathered.settle_min.unwrap_or(steps::WAIT_MIN),
        apart_min: evidence::PULL_MIN,
        done_tests: gathered.done_tests.clone(),
        resolved: trees.searched(&gathered.resolved),
        leave_out: job.pulled_stay_out,
        at: last_place(&gathered.done_tests),
        out: gathered.out.clone(),
        bypass: true,
        ..usual
    }
}

/// Where whoever tests stands now, as far as the newest reading tells.
fn last_place(done: &[(::diagnosis::TestKind, Vec<usize>)]) -> Option<usize> {
    done.last().and_then(|(_, nodes)| nodes.first().copied())
}

/// Voltage drops entered, with a warning for each that is likely too large.
fn drops(job: &Job, warnings: &mut Warnings) -> Vec<::battery::drops::DropTest> {
    let drops = battery::drops(job);
    for (id, _, judged) in drops
        .iter()
        .filter(|(_, _, judged)| judged.p_over > DROP_SURE)
    {
        warnings.add("cable-drop", judged.because.clone(), [*id]);
    }
    drops.into_iter().map(|(_, test, _)| test).collect()
}

/// Instruments that a test may use: the job's, else the ordinary ones.
fn tools(job: &Job) -> Vec<Instrument> {
    if job.instruments.is_empty() {
        [
            InstrumentKind::Clamp,
            InstrumentKind::Millivolt,
            InstrumentKind::InLine,
        ]
        .map(Instrument::generic)
        .into()
    } else {
        job.instruments.clone()
    }
}

fn trace_finding(tree: &FeedTree, gathered: &Gathered) -> Option<TraceFinding> {
    let (entry, node) = gathered.recording?;
    Some(TraceFinding {
        entry,
        node: tree.node(node).id.clone(),
        analysis: gathered.logged.analysis(entry)?.clone(),
    })
}

fn compare(draw: Option<Uncertain>, limit_a: f64) -> Exceeds {
    match draw {
        Some(draw) if draw.value - limit_a > SURE * draw.u => Exceeds::Yes,
        Some(draw) if limit_a - draw.value > SURE * draw.u => Exceeds::No,
        _ => Exceeds::Unsure,
    }
}

/// The loads that the plan calls at fault; a mere suspect is not among them.
fn culprits(trees: &Trees, [belief, parts]: [&Belief; 2], named: &[usize]) -> Vec<Culprit> {
    let mut culprits: Vec<Culprit> = named
        .iter()
        .filter_map(|&leaf| {
            let p_fault = belief.nodes.get(leaf)?.p_fault;
            let (node, part) = trees.at_fault(leaf, parts);
            Some(Culprit {
                node,
                p_fault,
                part,
            })
        })
        .collect();
    // Stable, so that equals stay in the order of the tree.
    culprits.sort_by(|a, b| b.p_fault.total_cmp(&a.p_fault));
    culprits
}

fn warn_of_limit(job: &Job, belief: &Belief, warnings: &mut Warnings) {
    if job.limit_a.is_none() && belief.total.is_some() {
        let message = say::job::limit_unknown(Ampere(job.limit_in_force_a()));
        warnings.add("limit-unknown", message, []);
    }
}

/// Nothing may be forgotten beside the box when the search is over.
fn warn_of_fuses_out(tree: &FeedTree, out: &[usize], warnings: &mut Warnings) {
    if out.is_empty() {
        return;
    }
    let places = out
        .iter()
        .map(|&node| Message::plain(&tree.node(node).id.0));
    warnings.add(
        "fuses-out",
        say::job::still_out(Message::listed(places)),
        [],
    );
}

/// A coarse tree names a cable; its fuses, listed now, take the search further.
fn warn_of_cables(tree: &FeedTree, culprits: &[usize], warnings: &mut Warnings) {
    let cables = culprits
        .iter()
        .filter(|&&node| tree.node(node).kind == NodeKind::Cable)
        .map(|&node| Message::plain(&tree.node(node).id.0));
    let places = Message::listed(cables);
    if !places.is_empty() {
        warnings.add("list-its-fuses", say::job::list_its_fuses(places), []);
    }
}

fn outside(belief: &Belief) -> Option<Outside> {
    let found = belief.culprits.iter().find(|found| found.node.is_none())?;
    Some(Outside {
        p_fault: found.p_fault,
        mean_a: found.mean_a,
    })
}

fn warn_of_outside(belief: &Belief, warnings: &mut Warnings) {
    if let Some(found) = outside(belief) {
        let message = say::job::outside_the_tree(Ampere(found.mean_a), sure(found.p_fault));
        warnings.add("outside-the-tree", message, []);
    }
}

/// The nodes that the job lists.
fn nodes(job: &Job, trees: &Trees, belief: &Belief) -> Vec<NodeAssessment> {
    let tree = &trees.search;
    let mut entries: Vec<Vec<EntryId>> = vec![Vec::new(); tree.len()];
    for (id, entry) in job.standing() {
        let mut note = |node: &NodeId| {
            if let Some(index) = tree.index(node) {
                entries[index].push(id);
            }
        };
        match &entry.kind {
            EntryKind::Draw { node, .. }
            | EntryKind::Trace { node, .. }
            | EntryKind::Unplug { node, .. }
            | EntryKind::Repair {
                node: Some(node), ..
            } => note(node),
            EntryKind::Pull { nodes, .. } | EntryKind::Refit { nodes, .. } => {
                nodes.iter().for_each(note)
            }
            _ => {}
        }
    }
    tree.nodes()
        .filter(|(index, _)| trees.is_listed(*index))
        .zip(&belief.nodes)
        .zip(entries)
        .map(|(((index, spec), belief), entries)| NodeAssessment {
            id: spec.id.clone(),
            parent: tree
                .parent(index)
                .map(|parent| tree.node(parent).id.clone()),
            kind: spec.kind,
            label: spec.label.clone().unwrap_or_else(|| spec.id.0.clone()),
            keeps_settings: tree.keeps_settings_below(index),
            draw: belief.draw,
            mean_a: belief.mean_a,
            normal_a: belief.normal_a,
            p_fault: belief.p_fault,
            entries,
        })
        .collect()
}

fn cause_evidence(
    job: &Job,
    belief: &Belief,
    trace: Option<&TraceFinding>,
    long_run: Option<Uncertain>,
    judgement: &::battery::Judgement,
) -> CauseEvidence {
    let wake_ups = trace
        .filter(|finding| finding.analysis.settled.is_some())
        .map(|finding| {
            let seen = &finding.analysis.wake_ups;
            let hours = finding.analysis.duration_s / 3600.0;
            let extra_average_a = if hours > 0.0 {
                seen.extra_charge_ah / hours
            } else {
                0.0
            };
            WakeUps {
                count: seen.count,
                extra_average_a,
            }
        });
    CauseEvidence {
        label: job.battery.label,
        engine_needs_a: job.battery.engine_needs_a,
        battery_age_years: job.battery.age_years,
        judgement: judgement.clone(),
        charging: battery::charging(job),
        drops: Vec::new(),
        alternator_off: None,
        settled_draw: belief.total,
        long_run_draw: long_run.filter(|_| trace.is_some()),
        wake_ups,
        gone_a: None,
        limit_a: job.limit_in_force_a(),
        no_start_after_h: job.complaint.no_start_after_h,
        temperature_c: job.complaint.temperature_c,
        usage: job.usage.map(|usage| diagnosis::cause::Usage {
            trips_per_week: usage.trips_per_week,
            minutes_per_trip: usage.minutes_per_trip,
        }),
    }
}

/// What was last read, asleep, where the alternator is all that is fed.
fn alternator_off(tree: &FeedTree, gathered: &Gathered) -> Option<Uncertain> {
    gathered
        .evidence
        .iter()
        .rev()
        .find_map(|seen| match seen.kind {
            EvidenceKind::Direct { node, current, .. }
                if seen.asleep && is_alternator_alone(tree, node) =>
            {
                Some(current)
            }
            _ => None,
        })
}

/// Whether the alternator is all that a node feeds, by its stated family or its words.
pub(crate) fn is_alternator_alone(tree: &FeedTree, node: usize) -> bool {
    let leaves = tree.leaves_below(node);
    let is_alternator =
        |leaf: &usize| family_of(tree.node(*leaf), Families::built_in()).id == "alternator";
    !leaves.is_empty() && leaves.iter().all(is_alternator)
}

fn odds(evidence: &CauseEvidence, checks: &[Check]) -> Vec<Odds> {
    causes(evidence)
        .into_iter()
        .map(|odds| Odds {
            hypothesis: odds.hypothesis.as_str().into(),
            p: odds.p,
            speaks_for: odds.speaks_for,
            speaks_against: odds.speaks_against,
            check_worth: checks
                .iter()
                .find(|check| check.kind.about() == odds.hypothesis && odds.cheap_check.is_some())
                .map(|check| CheckWorth {
                    minutes: check.minutes,
                    saves_min: check.saves_min,
                }),
            cheap_check: odds.cheap_check,
        })
        .collect()
}

/// A chance that is never quite a certainty.
fn sure(p: f64) -> Message {
    if p > 0.99 {
        say::words::over_99()
    } else {
        say::job::percent(percent(p))
    }
}

/// One sentence that says where the job stands.
fn summary(a: &Assessment, tree: &FeedTree) -> Message {
    let Some(draw) = a.long_run else {
        return say::job::draw_not_known();
    };
    let (drawn, limit) = (Ampere(draw.value), Ampere(a.limit_a));
    let against = match a.exceeds {
        Exceeds::Yes => say::job::draws_too_much(drawn, limit),
        Exceeds::No => say::job::draws_within(drawn, limit),
        Exceeds::Unsure => say::job::draws_too_close(drawn, limit),
    };
    let outside = a
        .outside_named()
        .map(|found| say::job::at_fault(say::job::outside_the_list(), sure(found.p_fault)));
    let found: Vec<Message> = a
        .culprits
        .iter()
        .map(|culprit| {
            let label = tree
                .index(&culprit.node)
                .and_then(|index| tree.node(index).label.clone());
            let name = label.unwrap_or_else(|| culprit.node.to_string());
            say::job::at_fault(culprit.place(name), sure(culprit.p_fault))
        })
        .chain(outside)
        .collect();
    match (found.is_empty(), a.exceeds) {
        (false, _) => say::job::stands_found(against, Message::listed(found)),
        (true, Exceeds::Yes) => say::job::stands_open(against),
        (true, _) => say::job::stands(against),
    }
}
