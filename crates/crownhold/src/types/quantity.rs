//! Quantities that cannot be mixed up: each is one finite number in SI, made and read in a named unit.
//!
//! Prices and hours are here too, so that a plan cannot add dollars to acres.

use std::iter::Sum;
use std::ops::{Add, Div, Mul, Sub};

/// Square metres in one international acre (0.40468564224 ha, exact).
pub const SQUARE_METRES_PER_ACRE: f64 = 4_046.856_422_4;
/// Metres in one international foot (exact).
pub const METRES_PER_FOOT: f64 = 0.304_8;
/// Litres in one US liquid gallon (231 cubic inches, exact).
pub const LITRES_PER_GALLON: f64 = 3.785_411_784;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident { $($(#[$udoc:meta])* $unit:ident / $read:ident = $factor:expr),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        #[allow(clippy::self_named_constructors)]
        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            $(
                $(#[$udoc])*
                ///
                /// # Panics
                /// If the value is not finite.
                pub fn $unit(value: f64) -> Self {
                    assert!(value.is_finite(), concat!(stringify!($name), " must be finite"));
                    Self(value * $factor)
                }
                $(#[$udoc])*
                pub fn $read(self) -> f64 {
                    self.0 / $factor
                }
            )+
            /// The larger of two.
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
            /// The smaller of two.
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, by: f64) -> Self {
                Self(self.0 * by)
            }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, by: Self) -> f64 {
                self.0 / by.0
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
                iter.fold(Self::ZERO, |a, b| a + b)
            }
        }
    };
}

quantity! {
    /// A ground area.
    Area {
        /// Square metres.
        square_metres / as_square_metres = 1.0,
        /// Hectares.
        hectares / as_hectares = 10_000.0,
        /// International acres.
        acres / as_acres = SQUARE_METRES_PER_ACRE,
        /// Square feet.
        square_feet / as_square_feet = METRES_PER_FOOT * METRES_PER_FOOT,
    }
}
quantity! {
    /// A length or a height.
    Length {
        /// Metres.
        metres / as_metres = 1.0,
        /// Centimetres (trunk diameters).
        centimetres / as_centimetres = 0.01,
        /// Feet.
        feet / as_feet = METRES_PER_FOOT,
        /// Inches.
        inches / as_inches = METRES_PER_FOOT / 12.0,
    }
}
quantity! {
    /// New egg masses per ground area.
    MassesPerArea {
        /// Per square metre.
        per_square_metre / as_per_square_metre = 1.0,
        /// Per hectare.
        per_hectare / as_per_hectare = 1.0 / 10_000.0,
        /// Per acre.
        per_acre / as_per_acre = 1.0 / SQUARE_METRES_PER_ACRE,
    }
}
quantity! {
    /// Money in the programme's currency.
    Money {
        /// Whole units (dollars).
        dollars / as_dollars = 1.0,
    }
}
quantity! {
    /// People's working time.
    Hours {
        /// Hours.
        hours / as_hours = 1.0,
        /// Minutes.
        minutes / as_minutes = 1.0 / 60.0,
    }
}

quantity! {
    /// A volume of liquid.
    Volume {
        /// Litres.
        litres / as_litres = 1.0,
        /// US liquid gallons.
        gallons / as_gallons = LITRES_PER_GALLON,
        /// US fluid ounces.
        fluid_ounces / as_fluid_ounces = LITRES_PER_GALLON / 128.0,
    }
}
quantity! {
    /// Speed over ground.
    Speed {
        /// Metres per second.
        metres_per_second / as_metres_per_second = 1.0,
        /// Metres per minute.
        metres_per_minute / as_metres_per_minute = 1.0 / 60.0,
        /// Kilometres per hour.
        kilometres_per_hour / as_kilometres_per_hour = 1.0 / 3.6,
        /// Statute miles per hour.
        miles_per_hour / as_miles_per_hour = 5_280.0 * METRES_PER_FOOT / 3_600.0,
        /// Knots (1,852 m per hour, exact).
        knots / as_knots = 1_852.0 / 3_600.0,
    }
}
quantity! {
    /// Liquid on a ground area.
    VolumePerArea {
        /// Litres per hectare.
        litres_per_hectare / as_litres_per_hectare = 1.0 / 10_000.0,
        /// US gallons per acre.
        gallons_per_acre / as_gallons_per_acre = LITRES_PER_GALLON / SQUARE_METRES_PER_ACRE,
        /// US fluid ounces per acre.
        fluid_ounces_per_acre / as_fluid_ounces_per_acre = LITRES_PER_GALLON / 128.0 / SQUARE_METRES_PER_ACRE,
    }
}
quantity! {
    /// Liquid in a time.
    Flow {
        /// Litres per minute.
        litres_per_minute / as_litres_per_minute = 1.0 / 60.0,
        /// US gallons per minute.
        gallons_per_minute / as_gallons_per_minute = LITRES_PER_GALLON / 60.0,
    }
}
quantity! {
    /// Potency of Btk on a ground area; BIU is a billion international units.
    Dose {
        /// BIU per hectare.
        biu_per_hectare / as_biu_per_hectare = 1.0 / 10_000.0,
        /// BIU per acre.
        biu_per_acre / as_biu_per_acre = 1.0 / SQUARE_METRES_PER_ACRE,
    }
}
quantity! {
    /// Potency of a Btk liquid.
    Strength {
        /// BIU per litre.
        biu_per_litre / as_biu_per_litre = 1.0,
        /// BIU per US gallon.
        biu_per_gallon / as_biu_per_gallon = 1.0 / LITRES_PER_GALLON,
    }
}

/// A share between 0 and 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct Share(f64);

impl Share {
    /// Nothing.
    pub const NONE: Self = Self(0.0);
    /// All of it.
    pub const ALL: Self = Self(1.0);

    /// A share, or `None` when the value is not between 0 and 1.
    pub fn new(value: f64) -> Option<Self> {
        (0.0..=1.0).contains(&value).then_some(Self(value))
    }
    /// A share, cut to 0..1; for sums that rounding may carry a hair past the end.
    ///
    /// # Panics
    /// If the value is not a number.
    pub fn clamped(value: f64) -> Self {
        assert!(!value.is_nan(), "Share must be a number");
        Self(value.clamp(0.0, 1.0))
    }
    /// The value, 0..=1.
    pub fn value(self) -> f64 {
        self.0
    }
    /// What is left of the whole.
    pub fn rest(self) -> Self {
        Self(1.0 - self.0)
    }
}

/// The unit system shown to people. Files and computing stay in SI.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum UnitSystem {
    /// Acres, feet, inches, degrees F.
    #[default]
    Us,
    /// Hectares, metres, centimetres, degrees C.
    Metric,
}

impl UnitSystem {
    /// An area in words, to a tenth: "4.5 acres", "25 ha".
    pub fn area(self, area: Area) -> String {
        let (value, unit) = match self {
            Self::Us => (area.as_acres(), "acres"),
            Self::Metric => (area.as_hectares(), "ha"),
        };
        format!("{} {unit}", format!("{value:.1}").trim_end_matches(".0"))
    }
    /// A length on the ground in words: "75 ft", "23 m".
    pub fn length(self, length: Length) -> String {
        match self {
            Self::Us => format!("{:.0} ft", length.as_feet()),
            Self::Metric => format!("{:.0} m", length.as_metres()),
        }
    }
}

/// Degrees Fahrenheit of a Celsius temperature.
pub fn fahrenheit(celsius: f64) -> f64 {
    celsius * 1.8 + 32.0
}
/// Degrees Celsius of a Fahrenheit temperature.
pub fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_follow_the_units() {
        let (field, edge) = (Area::acres(25.0), Length::feet(75.0));
        assert_eq!((UnitSystem::Us.area(field), UnitSystem::Us.length(edge)), ("25 acres".into(), "75 ft".into()));
        assert_eq!(
            (UnitSystem::Metric.area(field), UnitSystem::Metric.length(edge)),
            ("10.1 ha".into(), "23 m".into())
        );
    }

    /// survey.md oracle 19: exact definitions of acre and hectare.
    #[test]
    fn acres_and_hectares() {
        let per_ha = |per_acre| MassesPerArea::per_acre(per_acre).as_per_hectare();
        assert!((per_ha(250.0) - 617.76).abs() < 0.01);
        assert!((per_ha(500.0) - 1_235.53).abs() < 0.01);
        assert!((MassesPerArea::per_hectare(618.0).as_per_acre() - 250.1).abs() < 0.01);
        assert!((Area::acres(1.0).as_square_feet() - 43_560.0).abs() < 1e-6);
    }

    #[test]
    fn shares_keep_their_bounds() {
        assert!(Share::new(1.2).is_none());
        assert!(Share::new(f64::NAN).is_none());
        assert_eq!(Share::clamped(1.0 + 1e-12), Share::ALL);
    }
}
