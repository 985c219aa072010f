//! Fixed decisions of this season, and what past seasons brought.

use std::collections::BTreeMap;

use crownhold::types::{Area, BlockId, DecisionRule, FixedDecision, MassesPerArea, PastSeason, Problem, Share, Tactic};

use super::super::row::{Snapshot, Table};
use super::all;
use super::reader::Reader;

pub(super) const DECISIONS: Table = Table {
    name: "decisions",
    key: &["block", "position"],
    columns: &["block", "position", "rule", "what", "note"],
    is_layer: false,
};

pub(super) fn write_decisions(decisions: &[FixedDecision], rows: &mut Snapshot) {
    let mut positions: BTreeMap<&BlockId, usize> = BTreeMap::new();
    for decision in decisions {
        let position = positions.entry(&decision.block).and_modify(|p| *p += 1).or_insert(1);
        let (rule, what) = match &decision.rule {
            DecisionRule::Take(bundle) => ("take", Some(bundle.as_str())),
            DecisionRule::Never(tactic) => ("never", Some(tactic.word())),
            DecisionRule::NeverFly => ("never fly", None),
            DecisionRule::AlwaysFly => ("always fly", None),
        };
        rows.add(
            &DECISIONS,
            [
                ("block", decision.block.as_str().into()),
                ("position", (*position).into()),
                ("rule", rule.into()),
                ("what", what.into()),
                ("note", (&decision.note).into()),
            ],
        );
    }
}

pub(super) fn read_decisions(rows: &Snapshot, problems: &mut Vec<Problem>) -> Vec<FixedDecision> {
    let mut decisions = all(rows, &DECISIONS, problems, read_decision);
    decisions.sort_by(|(a, x), (b, y)| (&x.block, a).cmp(&(&y.block, b)));
    decisions.into_iter().map(|(_, decision)| decision).collect()
}

fn read_decision(r: &mut Reader) -> (i64, FixedDecision) {
    let decision = FixedDecision {
        block: BlockId::new(r.need_text("block")),
        rule: decision_rule(r),
        note: r.text("note").unwrap_or_default(),
    };
    (r.need_whole("position", "the place of the decision among those of its block"), decision)
}

fn decision_rule(r: &mut Reader) -> DecisionRule {
    let rule = r.need_text("rule");
    match rule.trim().to_lowercase().as_str() {
        "take" => DecisionRule::Take(r.need_text("what")),
        "never" => DecisionRule::Never(r.need_word::<Tactic>("what")),
        "never fly" => DecisionRule::NeverFly,
        "always fly" => DecisionRule::AlwaysFly,
        _ => {
            let expected = "one of take, never, never fly, always fly";
            r.fault("S-102", "rule", format!("rule is \"{rule}\"."), expected);
            DecisionRule::NeverFly
        }
    }
}

pub(super) const PAST: Table = Table {
    name: "past_seasons",
    key: &["season", "block"],
    columns: &["season", "block", "density_per_m2", "treatment", "defoliation", "sprayed_m2"],
    is_layer: false,
};

pub(super) fn write_past(past: &PastSeason, rows: &mut Snapshot) {
    rows.add(
        &PAST,
        [
            ("season", past.season.into()),
            ("block", past.block.as_str().into()),
            ("density_per_m2", past.density.map(MassesPerArea::as_per_square_metre).into()),
            ("treatment", (&past.treatment).into()),
            ("defoliation", past.defoliation.map(Share::value).into()),
            ("sprayed_m2", past.sprayed.map(Area::as_square_metres).into()),
        ],
    );
}

pub(super) fn read_past(r: &mut Reader) -> PastSeason {
    PastSeason {
        season: r.need_whole("season", "the year of that spring"),
        block: BlockId::new(r.need_text("block")),
        density: r.density("density_per_m2"),
        treatment: r.text("treatment").unwrap_or_default(),
        defoliation: r.share("defoliation"),
        sprayed: r.area("sprayed_m2"),
    }
}
