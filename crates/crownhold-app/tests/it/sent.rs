//! Visits from phones: none lost, none twice, refused ones told one by one.

use std::path::Path;

use crownhold::Setting;
use crownhold::field::rounds::due;
use crownhold::types::*;
use crownhold_app::actions::sent::{Sent, Taken, done_on, take};
use crownhold_data::formats::ToLonLat;
use jiff::civil::{Date, date};
use proptest::prelude::*;

use crate::acts::{BY, file, records};

const JUNE: Date = date(2027, 6, 14);

fn a_tree(records: &Records) -> &Tree {
    records.trees.iter().find(|t| t.block.is_some()).unwrap()
}

/// A visit to a tree with 12 old larvae.
fn visit(number: u32, tree: &TreeId) -> Sent {
    Sent {
        id: format!("0000000000000000-{number:04}"),
        day: JUNE,
        work: Some(RoundWork::Serve),
        tree: Some(tree.clone()),
        block: None,
        counts: [0, 12, 0, 0, 0, 0],
        minutes: Some(3.0),
        who: "Night shift".into(),
        note: String::new(),
        at: None,
    }
}

fn code(taken: &Taken) -> &'static str {
    match taken {
        Taken::Kept => "kept",
        Taken::Already => "already",
        Taken::Refused(why) => why.code,
    }
}

fn codes(path: &Path, sent: &[Sent]) -> Vec<&'static str> {
    take(path, sent, JUNE, BY).unwrap().iter().map(code).collect()
}

/// The good ones are taken as one operation, the others told; a second sending changes nothing.
#[test]
fn each_has_its_answer() {
    let (_dir, path) = file();
    let before = records(&path);
    let tree = a_tree(&before);
    let [lon, lat] = ToLonLat::new(before.programme.epsg).unwrap().place(tree.place).unwrap();
    let good = visit(1, &tree.id);
    let unlisted = Sent { tree: None, at: Some((lon, lat)), work: Some(RoundWork::Scrape), ..visit(2, &tree.id) };
    let named = Sent { tree: Some("new".into()), block: tree.block.clone(), ..visit(3, &tree.id) };
    let nowhere = Sent { tree: Some("new".into()), block: Some("Q99".into()), ..visit(4, &tree.id) };
    let tomorrow = Sent { day: date(2027, 6, 16), ..visit(5, &tree.id) };
    let nameless = Sent { id: "x".into(), ..visit(6, &tree.id) };
    let unknown = Sent { work: None, ..visit(7, &tree.id) };
    let all = [good.clone(), unlisted, named, nowhere, tomorrow, nameless, unknown, good.clone()];
    assert_eq!(codes(&path, &all), ["kept", "kept", "kept", "R-014", "R-013", "R-012", "R-017", "already"]);
    let after = records(&path);
    assert_eq!((after.log.bands.len(), after.log.scraping.len()), (before.log.bands.len() + 2, 1));
    let scraped = &after.log.scraping[0];
    assert_eq!((scraped.low, scraped.high, scraped.left, scraped.trees), (0, 12, 0, 1));
    assert_eq!(Some(&scraped.block), tree.block.as_ref());
    let gap = scraped.place.unwrap() - tree.place;
    assert!(gap.x().hypot(gap.y()) < 0.01, "{gap:?}");
    let history = crownhold_app::actions::records_and_entry(&path).unwrap().1;
    assert_eq!(codes(&path, &all[..4]), ["already", "already", "already", "R-014"]);
    // Nothing changed, so nothing is in the history.
    assert_eq!(crownhold_app::actions::records_and_entry(&path).unwrap(), (after, history));
    let other = Sent { counts: [0, 13, 0, 0, 0, 0], ..good };
    assert_eq!(codes(&path, &[other]), ["R-015"]);
    let many = vec![visit(1, &tree.id); 1001];
    assert_eq!(take(&path, &many, JUNE, BY).unwrap_err().problems[0].code, "R-011");
}

/// Bands are put up where none hangs, and where putting up was written down only those are served.
#[test]
fn what_was_put_up_is_what_is_served() {
    let (_dir, path) = file();
    let before = records(&path);
    let block =
        before.blocks.iter().find(|b| b.consent != Consent::Pending && trees_due(&before, &b.id, RoundWork::Serve) > 3);
    let id = block.unwrap().id.clone();
    let all = trees_due(&before, &id, RoundWork::Serve);
    let tree = before
        .trees
        .iter()
        .find(|t| t.block.as_ref() == Some(&id) && listed(&before, &id, RoundWork::Serve).contains(&t.id));
    let up = Sent { work: Some(RoundWork::PutUp), counts: [0; 6], ..visit(1, &tree.unwrap().id) };
    assert_eq!(codes(&path, std::slice::from_ref(&up)), ["kept"]);
    let hung = records(&path);
    let due = |r: &Records| [RoundWork::PutUp, RoundWork::Serve, RoundWork::TakeDown].map(|w| trees_due(r, &id, w));
    assert_eq!(due(&hung), [all - 1, 1, 1]);
    assert_eq!(done_on(&hung, JUNE)[up.tree.as_ref().unwrap()], [RoundWork::PutUp]);
    let down = Sent { work: Some(RoundWork::TakeDown), ..Sent { id: "0000000000000000-0002".into(), ..up } };
    assert_eq!(codes(&path, &[down]), ["kept"]);
    assert_eq!(due(&records(&path)), [all, 0, 0]);
}

/// Bands that nobody wrote down when they were put up are served and taken down all the same, but those that have come down.
#[test]
fn what_came_down_is_not_served_again() {
    let (_dir, path) = file();
    let before = records(&path);
    let id = before.blocks.iter().find(|b| trees_due(&before, &b.id, RoundWork::TakeDown) > 3).unwrap().id.clone();
    let trees = listed(&before, &id, RoundWork::TakeDown);
    let down = Sent { work: Some(RoundWork::TakeDown), counts: [0; 6], ..visit(1, &trees[0]) };
    assert_eq!(codes(&path, &[down]), ["kept"]);
    let after = records(&path);
    for work in [RoundWork::Serve, RoundWork::TakeDown] {
        assert_eq!(listed(&after, &id, work), trees[1..]);
    }
}

fn listed(records: &Records, block: &BlockId, work: RoundWork) -> Vec<TreeId> {
    let setting = Setting { today: JUNE, seed: 1, draws: 1 };
    let due = due(records, std::slice::from_ref(block), work, None, &setting);
    due[0].trees.iter().map(|t| t.tree.clone()).collect()
}

fn trees_due(records: &Records, block: &BlockId, work: RoundWork) -> usize {
    listed(records, block, work).len()
}

/// However sendings are cut, repeated and mixed: each visit stands in the log once.
#[test]
fn none_is_lost_and_none_stands_twice() {
    let (dir, fresh) = file();
    let before = records(&fresh);
    let tree = a_tree(&before).id.clone();
    let path = dir.path().join("case.gpkg");
    let sendings = prop::collection::vec(prop::collection::vec(0_u32..20, 0..12), 1..4);
    proptest!(ProptestConfig::with_cases(6), |(sendings in sendings)| {
        std::fs::copy(&fresh, &path).unwrap();
        for numbers in &sendings {
            let sent: Vec<Sent> = numbers.iter().map(|n| visit(*n, &tree)).collect();
            prop_assert!(codes(&path, &sent).iter().all(|c| ["kept", "already"].contains(c)));
        }
        let distinct: std::collections::BTreeSet<u32> = sendings.into_iter().flatten().collect();
        prop_assert_eq!(records(&path).log.bands.len(), before.log.bands.len() + distinct.len());
    });
}
