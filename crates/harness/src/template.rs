//! Generic layouts to start a job from when no fuse list is at hand.
//!
//! All of them are invented: they show what such a vehicle may look like, and
//! no vehicle has exactly this one. The person corrects what differs.

use tongue::{Message, say};

use crate::{NodeKind, NodeSpec, fuse_list};

/// An invented layout.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Template {
    /// Its name in commands and links.
    pub id: &'static str,
    /// Its name for people; says that it is invented.
    pub name: Message,
    text: &'static str,
}

/// The layouts, smallest first.
pub static ALL: [Template; 3] = [
    Template {
        id: "older-car",
        name: say::harness::template_older_car(),
        text: include_str!("../data/templates/older-car.txt"),
    },
    Template {
        id: "small-car",
        name: say::harness::template_small_car(),
        text: include_str!("../data/templates/small-car.txt"),
    },
    Template {
        id: "van",
        name: say::harness::template_van(),
        text: include_str!("../data/templates/van.txt"),
    },
];

/// The layout called `id`.
pub fn find(id: &str) -> Option<&'static Template> {
    ALL.iter().find(|template| template.id == id)
}

impl Template {
    /// Its cables and fuses, blades throughout, and the alternator on a cable
    /// of its own, which no fuse can interrupt.
    pub fn nodes(&self) -> Vec<NodeSpec> {
        let cable = NodeSpec {
            label: Some("Alternator main cable".into()),
            ..NodeSpec::new("alternator-cable", "battery", NodeKind::Cable)
        };
        let alternator = NodeSpec {
            label: Some("Alternator".into()),
            family: Some("alternator".into()),
            ..NodeSpec::new("alternator", "alternator-cable", NodeKind::Load)
        };
        let mut nodes = vec![cable, alternator];
        nodes.extend(
            fuse_list::read(self.text)
                .nodes
                .into_iter()
                .map(|node| NodeSpec {
                    fuse: (node.kind == NodeKind::Fuse).then(|| "blade".into()),
                    ..node
                }),
        );
        nodes
    }

    /// The fuse list as a person would paste it, to be corrected and pasted back.
    pub fn fuse_list(&self) -> &'static str {
        self.text
    }
}
