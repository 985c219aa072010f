//! Blocks, trees and no-spray areas: the layers of the land.

use crownhold::types::{
    Block, BlockId, HostShares, Length, NoSprayArea, NoSprayId, Share, StratumId, Street, StreetId, Tree, TreeId,
};

use super::super::geometry;
use super::super::row::{Snapshot, Table};
use super::reader::Reader;

pub(super) const BLOCKS: Table = Table {
    name: "blocks",
    key: &["id"],
    columns: &[
        "id",
        "name",
        "land_use",
        "canopy",
        "host_susceptible",
        "host_resistant",
        "host_immune",
        "dwellings",
        "ownership",
        "consent",
        "stratum",
        "neighbourhood",
        "elevation_m",
        "built_up",
        "survey_closed",
        "geom",
    ],
    is_layer: true,
};

pub(super) fn write_block(block: &Block, srs: u32, rows: &mut Snapshot) {
    let host = |of: fn(HostShares) -> Share| block.hosts.map(|h| of(h).value()).into();
    rows.add(
        &BLOCKS,
        [
            ("id", block.id.as_str().into()),
            ("name", (&block.name).into()),
            ("land_use", block.land_use.word().into()),
            ("canopy", block.canopy.map(Share::value).into()),
            ("host_susceptible", host(|h| h.susceptible)),
            ("host_resistant", host(|h| h.resistant)),
            ("host_immune", host(|h| h.immune)),
            ("dwellings", block.dwellings.into()),
            ("ownership", block.ownership.word().into()),
            ("consent", block.consent.word().into()),
            ("stratum", block.stratum.as_ref().map(StratumId::as_str).into()),
            ("neighbourhood", block.neighbourhood.as_ref().into()),
            ("elevation_m", block.elevation.map(Length::as_metres).into()),
            ("built_up", block.built_up.map(Share::value).into()),
            ("survey_closed", block.survey_closed.into()),
            ("geom", geometry::write_shape(&block.shape, srs).into()),
        ],
    );
}

pub(super) fn read_block(r: &mut Reader) -> Block {
    let id = BlockId::new(r.need_text("id"));
    Block {
        name: r.text("name").unwrap_or_else(|| id.to_string()),
        id,
        shape: r.shape(),
        land_use: r.need_word("land_use"),
        canopy: r.share("canopy"),
        hosts: host_shares(r),
        dwellings: r.whole("dwellings", "a whole number, not negative"),
        ownership: r.need_word("ownership"),
        consent: r.need_word("consent"),
        stratum: r.text("stratum").map(StratumId::new),
        neighbourhood: r.text("neighbourhood"),
        elevation: r.height("elevation_m"),
        built_up: r.share("built_up"),
        survey_closed: r.day("survey_closed"),
    }
}

/// The three shares: all or none, and one whole together.
fn host_shares(r: &mut Reader) -> Option<HostShares> {
    const ROUNDING: f64 = 1e-6;
    let expected = "all three shares, adding up to 1, or none of them";
    let shares = ["host_susceptible", "host_resistant", "host_immune"].map(|column| r.share(column));
    match shares {
        [None, None, None] => None,
        [Some(susceptible), Some(resistant), Some(immune)] => {
            let sum = susceptible.value() + resistant.value() + immune.value();
            if (sum - 1.0).abs() > ROUNDING {
                r.fault("S-104", "host_susceptible", format!("the host shares add up to {sum}."), expected);
            }
            Some(HostShares { susceptible, resistant, immune })
        }
        _ => {
            r.fault("S-104", "host_susceptible", "only some of the host shares are given.".to_owned(), expected);
            None
        }
    }
}

pub(super) const TREES: Table = Table {
    name: "trees",
    key: &["id"],
    columns: &["id", "block", "species", "host_class", "dbh_m", "public", "geom"],
    is_layer: true,
};

pub(super) fn write_tree(tree: &Tree, srs: u32, rows: &mut Snapshot) {
    rows.add(
        &TREES,
        [
            ("id", tree.id.as_str().into()),
            ("block", tree.block.as_ref().map(BlockId::as_str).into()),
            ("species", (&tree.species).into()),
            ("host_class", tree.class.map(|c| c.word()).into()),
            ("dbh_m", tree.dbh.map(Length::as_metres).into()),
            ("public", tree.public.into()),
            ("geom", geometry::write_point(tree.place, srs).into()),
        ],
    );
}

pub(super) fn read_tree(r: &mut Reader) -> Tree {
    Tree {
        id: TreeId::new(r.need_text("id")),
        block: r.text("block").map(BlockId::new),
        place: r.need_point(),
        species: r.text("species").unwrap_or_default(),
        class: r.word("host_class"),
        dbh: r.length("dbh_m"),
        public: r.flag("public"),
    }
}

pub(super) const NO_SPRAY: Table =
    Table { name: "no_spray", key: &["id"], columns: &["id", "kind", "buffer_m", "note", "geom"], is_layer: true };

pub(super) fn write_no_spray(area: &NoSprayArea, srs: u32, rows: &mut Snapshot) {
    rows.add(
        &NO_SPRAY,
        [
            ("id", area.id.as_str().into()),
            ("kind", area.kind.word().into()),
            ("buffer_m", area.buffer.map(Length::as_metres).into()),
            ("note", (&area.note).into()),
            ("geom", geometry::write_shape(&area.shape, srs).into()),
        ],
    );
}

pub(super) fn read_no_spray(r: &mut Reader) -> NoSprayArea {
    NoSprayArea {
        id: NoSprayId::new(r.need_text("id")),
        kind: r.need_word("kind"),
        shape: r.shape(),
        buffer: r.length("buffer_m"),
        note: r.text("note").unwrap_or_default(),
    }
}

pub(super) const STREETS: Table =
    Table { name: "streets", key: &["id"], columns: &["id", "name", "geom"], is_layer: true };

pub(super) fn write_street(street: &Street, srs: u32, rows: &mut Snapshot) {
    rows.add(
        &STREETS,
        [
            ("id", street.id.as_str().into()),
            ("name", (&street.name).into()),
            ("geom", geometry::write_lines(&street.lines, srs).into()),
        ],
    );
}

pub(super) fn read_street(r: &mut Reader) -> Street {
    Street { id: StreetId::new(r.need_text("id")), name: r.text("name").unwrap_or_default(), lines: r.lines() }
}
