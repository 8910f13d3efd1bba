//! What hands do to a virtual vehicle: supplies cut and restored, and what that rouses.

use harness::FeedTree;
use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::{Answer, Shown, Visit, work};

impl Visit<'_> {
    /// Cuts the supply of nodes, or what they feed from its wiring, and restores it.
    pub(super) fn interrupt(
        &mut self,
        nodes: &[usize],
        unplug: bool,
        random: &mut Pcg64Mcg,
        answer: &mut Answer,
    ) {
        let more = if unplug {
            work().of("unplug_more")
        } else {
            0.0
        };
        self.pass(self.access(nodes) + more + further(nodes.len()));
        let before = self.current_a(FeedTree::ROOT);
        let began = self.now_s;
        let set = if unplug {
            &mut self.state.unplugged
        } else {
            &mut self.state.out
        };
        set.extend(nodes);
        self.remember();
        let lost = nodes.iter().filter(|&&n| self.vehicle.keeps_settings(n));
        answer.lost_settings = lost.copied().collect();
        // Each fuse rouses the vehicle by itself, at the pull or at the refit.
        let stays: f64 = nodes
            .iter()
            .map(|&node| 1.0 - self.vehicle.wake_chance(node))
            .product();
        answer.woke = random.random_bool((1.0 - stays).clamp(0.0, 1.0));
        let at_pull = random.random_bool(work().of("wake_at_pull"));
        if answer.woke && at_pull {
            self.wake();
            self.wait();
        }
        self.watch(before, began, random, answer);
        for node in nodes {
            self.state.out.remove(node);
            self.state.unplugged.remove(node);
        }
        self.remember();
        if answer.woke && !at_pull {
            self.wake();
        }
    }

    /// Cuts the supply of nodes and leaves them so.
    pub(super) fn take_out(&mut self, nodes: &[usize], random: &mut Pcg64Mcg, answer: &mut Answer) {
        self.pass(self.access(nodes) + further(nodes.len()));
        let before = self.current_a(FeedTree::ROOT);
        let began = self.now_s;
        self.state.out.extend(nodes);
        self.remember();
        let lost = nodes.iter().filter(|&&n| self.vehicle.keeps_settings(n));
        answer.lost_settings = lost.copied().collect();
        self.disturb(nodes, work().of("wake_at_pull"), random, answer);
        self.watch(before, began, random, answer);
    }

    /// Restores the supply of nodes. Who stands at the box has them at hand.
    pub(super) fn put_back(&mut self, nodes: &[usize], random: &mut Pcg64Mcg, answer: &mut Answer) {
        self.pass(further(nodes.len() + 1));
        let before = self.current_a(FeedTree::ROOT);
        let began = self.now_s;
        for node in nodes {
            self.state.out.remove(node);
        }
        self.remember();
        self.disturb(nodes, 1.0 - work().of("wake_at_pull"), random, answer);
        self.watch(before, began, random, answer);
    }

    /// Everything goes back, and whoever did it does not wait for what follows.
    pub(super) fn restore(&mut self, random: &mut Pcg64Mcg, answer: &mut Answer) {
        let nodes: Vec<usize> = self.state.out.iter().copied().collect();
        // Pulling a fuse and putting it back is one price, paid when it was pulled.
        self.pass(work().of("change_place"));
        self.state.out.clear();
        self.remember();
        answer.woke = self.rouse(&nodes, 1.0 - work().of("wake_at_pull"), random);
    }

    /// Rouses the vehicle by chance and waits until it sleeps again.
    fn disturb(&mut self, nodes: &[usize], share: f64, random: &mut Pcg64Mcg, answer: &mut Answer) {
        answer.woke = self.rouse(nodes, share, random);
        if answer.woke {
            self.wait();
        }
    }

    /// Rouses the vehicle by chance, each fuse by itself; whether it did.
    fn rouse(&mut self, nodes: &[usize], share: f64, random: &mut Pcg64Mcg) -> bool {
        let stays: f64 = nodes
            .iter()
            .map(|&node| 1.0 - share * self.vehicle.wake_chance(node))
            .product();
        let woke = random.random_bool((1.0 - stays).clamp(0.0, 1.0));
        if woke {
            self.wake();
        }
        woke
    }

    /// Reads the total now beside what it was.
    fn watch(&mut self, before: f64, began: f64, random: &mut Pcg64Mcg, answer: &mut Answer) {
        self.pass(work().of("settle"));
        let after = self.current_a(FeedTree::ROOT);
        let apart = (self.now_s - began) / 60.0;
        let meter = self.kit().for_total(before.max(after));
        answer.shown = match meter.show_both(before, after, apart, random) {
            (Some(before), Some(after)) => Shown::Pull(before, after),
            _ => Shown::OverRange,
        };
    }

    fn access(&self, nodes: &[usize]) -> f64 {
        nodes
            .iter()
            .map(|&node| work().access_min(self.vehicle.place(node)))
            .fold(0.0, f64::max)
    }
}

/// Minutes for the fuses after the first.
fn further(fuses: usize) -> f64 {
    fuses.saturating_sub(1) as f64 * work().of("further_fuse")
}
