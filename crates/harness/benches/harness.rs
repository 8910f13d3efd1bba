//! What building a tree and reading a list cost.

use harness::{FeedTree, family, fuse_list, template};

fn main() {
    divan::main();
}

#[divan::bench]
fn build_the_tree_of_a_van(bencher: divan::Bencher) {
    let template = &template::ALL[2];
    bencher
        .with_inputs(|| template.nodes())
        .bench_values(FeedTree::build);
}

#[divan::bench]
fn read_the_fuse_list_of_a_van() -> usize {
    fuse_list::read(divan::black_box(template::ALL[2].fuse_list()))
        .nodes
        .len()
}

#[divan::bench]
fn guess_a_family() -> &'static str {
    &family::guess(divan::black_box("Innenraumbeleuchtung hinten links")).id
}
