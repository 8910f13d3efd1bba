//! Plain segmentation against the penalised costs of ruptures 1.1.10 (C. Truong, L. Oudre, N. Vayatis, "Selective review
//! of offline change point detection methods", 2020), made by `data/penalised_costs.py`.

use trace::segment::{Loss, segment};

#[test]
fn same_cost_as_a_general_purpose_library() {
    let numbers = |text: &str| {
        text.split_whitespace()
            .map(|x| x.parse::<f64>().expect("a number"))
            .collect::<Vec<_>>()
    };
    let mut cases = 0;
    for line in include_str!("data/penalised_costs.txt")
        .lines()
        .filter(|l| !l.starts_with('#'))
    {
        let parts: Vec<&str> = line.split(';').collect();
        let (penalty, cost) = (numbers(parts[0])[0], numbers(parts[1])[0]);
        let fit = segment(&numbers(parts[3]), Loss::Squares, penalty);
        assert!(
            (fit.cost - cost).abs() <= 1e-9 * cost,
            "{} against {cost} in {line}",
            fit.cost
        );
        cases += 1;
    }
    assert_eq!(cases, 40);
}
