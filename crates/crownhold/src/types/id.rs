//! Names that stay the same outside the program: the city's own block, plot and tree numbers.

macro_rules! id {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name(String);
        impl $name {
            /// From the outside name, with surrounding blanks taken off.
            pub fn new(name: impl AsRef<str>) -> Self {
                Self(name.as_ref().trim().to_owned())
            }
            /// The outside name.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }
        impl From<&str> for $name {
            fn from(name: &str) -> Self {
                Self::new(name)
            }
        }
    )+};
}

id! {
    /// A block: the management unit for which a tactic is chosen.
    BlockId,
    /// A stratum: blocks alike enough to share survey information.
    StratumId,
    /// A survey plot.
    PlotId,
    /// One visit to a plot.
    VisitId,
    /// A tree in the inventory.
    TreeId,
    /// A no-spray area.
    NoSprayId,
    /// A street, or a stretch of one.
    StreetId,
    /// A weather station.
    StationId,
    /// A look at hatch, larvae or leaves in the field.
    SampleId,
    /// An entry of the field log.
    LogId,
}
