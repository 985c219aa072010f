//! What must be said where an act can hurt someone.
//!
//! Gloves, eye protection, soapy water, rashes and asthma, the law of the label, licences, consents and sticky
//! material on tape only follow the science notes on tactics (and the sources named there); ladders, traffic, heat,
//! ticks and beekeepers are common practice. None of these sentences replaces a label, a licence or a local rule.

use crownhold::types::Tactic;

/// The caution that stands beside an act.
pub fn of(tactic: Tactic) -> &'static str {
    match tactic {
        Tactic::Scraping => {
            "Hairs in the egg masses cause rashes and can bring on asthma: gloves and eye protection, never a bare hand, \
             masses into soapy water. Volunteers stay on the ground; ladders only for trained crews, never alone. \
             Roadside work needs traffic protection."
        }
        Tactic::Bands => {
            "Larval hairs cause rashes and can bring on asthma: gloves or forceps, long sleeves, never a bare hand. \
             Use plain fabric; sticky material, if at all, only on tape, since on bare bark it can harm the tree. Take the \
             bands down at the end. \
             Mind heat, ticks and traffic."
        }
        Tactic::GroundBtk => {
            "The product label is the law, for dose, protective clothing and re-entry. Licensed applicators only. \
             Give the notices that local rules ask for. Btk also kills other young butterfly and moth larvae: keep to \
             the blocks shown, stay off water and apiary areas."
        }
        Tactic::AerialOnce | Tactic::AerialTwice => {
            "The product label is the law. Licensed applicators and a qualified pilot only, within the weather limits \
             of label and contract. Notify residents, schools and beekeepers as local rules ask, counted back from the \
             earliest likely day. Keep every no-spray area and its buffer. Btk also kills other young butterfly and \
             moth larvae: no block is flown that does not need it."
        }
    }
}

/// What stands beside calibration figures.
pub const CALIBRATION: &str = "The product label is the law: rate, dose, dilution and swath must be within it. These are the figures to aim at; a \
     catch test on the aircraft or sprayer itself shows what is really put out.";

/// What stands beside counting.
pub const COUNTING: &str = "Hairs in egg masses cause rashes and can bring on asthma: tell old from new with gloves on, never with a bare \
     hand. Ask before entering private ground. Mind traffic and ticks, wear boots and high visibility, and stay off ladders.";

/// The cautions at the end of every plan.
pub const GENERAL: [&str; 6] = [
    "This paper advises. It replaces no licence, no product label, no permit and no local, state or provincial rule; \
     where they differ from it, they prevail.",
    "Pesticides are applied only by licensed applicators, as the label says, with the consents, notices and records \
     that the law asks for.",
    "Hairs of larvae, shed skins and egg masses cause rashes and can bring on asthma. Nobody touches them with bare \
     hands; people with asthma or known reactions do other work.",
    "Keep sprays off water, apiaries, habitats of rare species and land whose owner has not agreed. Tell beekeepers \
     in good time.",
    "Work on ladders, beside roads and in heat follows the city's own safety rules. Volunteers work from the ground, \
     in pairs, with water.",
    "Every figure is an estimate from samples and models; the ranges are part of the figure. Look at the blocks before \
     acting.",
];
