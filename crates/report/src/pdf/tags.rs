//! What is what: the tree that a screen reader follows.

use krilla::tagging::{Identifier, Node, TagGroup, TagKind, TagTree};

/// A tree whose leaves are drawn later.
#[derive(Default)]
pub(super) struct Tree {
    groups: Vec<Group>,
}

struct Group {
    tag: TagKind,
    children: Vec<Child>,
}

enum Child {
    Group(usize),
    Leaf(Leaf),
}

/// A leaf's number; whatever is drawn under it is one piece of content.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Leaf(pub(super) usize);

/// A group's number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct At(usize);

impl Tree {
    /// A group at the top.
    pub(super) fn root(&mut self, tag: impl Into<TagKind>) -> At {
        self.groups.push(Group {
            tag: tag.into(),
            children: Vec::new(),
        });
        At(self.groups.len() - 1)
    }

    /// A group below another.
    pub(super) fn under(&mut self, parent: At, tag: impl Into<TagKind>) -> At {
        let child = self.root(tag);
        if let Some(parent) = self.groups.get_mut(parent.0) {
            parent.children.push(Child::Group(child.0));
        }
        child
    }

    /// Content below a group.
    pub(super) fn leaf(&mut self, parent: At, leaf: Leaf) {
        if let Some(parent) = self.groups.get_mut(parent.0) {
            parent.children.push(Child::Leaf(leaf));
        }
    }

    /// The finished tree, given what each leaf became when it was drawn.
    pub(super) fn finish(&self, top: At, drawn: &[Option<Identifier>], out: &mut TagTree) {
        out.push(self.group(top.0, drawn));
    }

    fn group(&self, at: usize, drawn: &[Option<Identifier>]) -> Node {
        let Some(group) = self.groups.get(at) else {
            return Node::Group(TagGroup::new(krilla::tagging::Tag::Div));
        };
        let mut node = TagGroup::new(group.tag.clone());
        for child in &group.children {
            match child {
                Child::Group(at) => node.push(self.group(*at, drawn)),
                Child::Leaf(leaf) => {
                    if let Some(Some(identifier)) = drawn.get(leaf.0) {
                        node.push(*identifier);
                    }
                }
            }
        }
        Node::Group(node)
    }
}
