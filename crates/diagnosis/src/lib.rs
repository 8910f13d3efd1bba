//! What the readings say about the vehicle: how much every node of the feed
//! tree draws, which load is at fault, and which test to do next.
//!
//! Everything here is a pure function of its arguments; nothing reads a file,
//! a clock or a random source. The room knows feed trees and readings; it does
//! not know jobs, entries or pages (an entry is only a number, the `tag`).

pub mod behaviour;
pub mod belief;
pub mod cause;
pub mod history;
pub mod model;
pub mod plan;
pub mod sum_tree;

pub use behaviour::TraceBehaviour;
pub use belief::{
    Belief, BeliefOptions, Culprit, Disagreement, Evidence, EvidenceKind, GroupBelief, NodeBelief,
    SharedError, believe, believe_shared,
};
pub use history::History;
pub use model::{Component, LoadModel, LoadModels, LogNormal};
pub use plan::{Excluded, Outcome, Plan, PlanOptions, Proposal, TestKind, plan};
