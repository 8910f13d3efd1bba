//! Resistance of copper leads and of the contacts at their ends.

use crate::Uncertain;

/// Resistivity of annealed copper at 20 °C, Ω·mm²/m (NBS Handbook 100, Copper
/// Wire Tables, 1966; the standard value, read through a note that quotes it).
pub const COPPER_OHM_MM2_PER_M: f64 = 0.017_241;

/// Temperature coefficient of that, per kelvin from 20 °C (from memory; agrees
/// with 14 AWG at 20 °C and 25 °C in two published tables, see the tests).
pub const COPPER_PER_KELVIN: f64 = 0.003_93;

/// Lengthening of the wires of a stranded lead by their twist, as a factor
/// (from memory: 2 to 3 %).
pub const STRANDED: f64 = 1.02;

/// Cross-section in mm² of American Wire Gauge `number` (0 for 1/0, −1 for
/// 2/0, …): diameter 0.127 mm × 92^((36 − n)/39) (ASTM B258, from memory).
pub fn awg_mm2(number: i32) -> f64 {
    let diameter_mm = 0.127 * 92.0_f64.powf(f64::from(36 - number) / 39.0);
    std::f64::consts::PI / 4.0 * diameter_mm * diameter_mm
}

/// Resistance in ohm of solid copper of `length_m` metre and `area_mm2` square
/// millimetre at `temperature_c` degree Celsius. Not finite for no area.
pub fn copper_ohm(length_m: f64, area_mm2: f64, temperature_c: f64) -> f64 {
    at_temperature(
        COPPER_OHM_MM2_PER_M * length_m / area_mm2,
        20.0,
        temperature_c,
        COPPER_PER_KELVIN,
    )
}

/// A resistance known at `known_c` taken to `temperature_c` with the
/// coefficient per kelvin that holds at `known_c`.
pub fn at_temperature(ohm: f64, known_c: f64, temperature_c: f64, per_kelvin: f64) -> f64 {
    ohm * (1.0 + per_kelvin * (temperature_c - known_c))
}

/// A stranded lead with the contacts at both ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lead {
    /// Length, metre.
    pub length_m: f64,
    /// Cross-section, mm².
    pub area_mm2: f64,
    /// One contact, ohm.
    pub contact: Uncertain,
}

/// One clip or plug on clean metal, ohm: 1 to 20 mΩ, every value as likely
/// (from memory).
pub const CLIP: Uncertain = Uncertain {
    value: 0.0105,
    u: 0.0095 / 1.732_050_807_568_877_2,
};

/// A battery clamp laid on its post by hand, ohm: 0.2 to 3 mΩ, every value as
/// likely (from memory).
pub const CLAMP_ON_POST: Uncertain = Uncertain {
    value: 0.0016,
    u: 0.0014 / 1.732_050_807_568_877_2,
};

impl Lead {
    /// A test lead as sold: 1 m, 1 mm², clips at both ends (common practice).
    pub const TEST: Self = Self {
        length_m: 1.0,
        area_mm2: 1.0,
        contact: CLIP,
    };

    /// A bypass lead as made up in a workshop: 1 m, 2.5 mm², clips at both
    /// ends (common practice).
    pub const BYPASS: Self = Self {
        length_m: 1.0,
        area_mm2: 2.5,
        contact: CLIP,
    };

    /// Its resistance at 20 °C with both contacts, ohm. The copper counts as
    /// exact beside them; the contacts are independent of one another.
    pub fn ohm(&self) -> Uncertain {
        let copper = STRANDED * copper_ohm(self.length_m, self.area_mm2, 20.0);
        Uncertain::exact(copper)
            .plus(self.contact)
            .plus(self.contact)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Metre per thousand feet.
    const KFT_M: f64 = 304.8;

    #[test]
    fn wire_gauges_agree_with_a_published_table() {
        // Georgia State University HyperPhysics, Common Wire Gauges table: Ω per
        // 1000 ft at 20 °C; agreement within 0.1 %, the table's own last digit.
        for (awg, ohm) in [
            (2, 0.1563),
            (4, 0.2485),
            (6, 0.3951),
            (10, 0.9989),
            (12, 1.588),
            (14, 2.525),
            (16, 4.016),
            (18, 6.385),
            (20, 10.15),
            (24, 25.67),
        ] {
            let ours = copper_ohm(KFT_M, awg_mm2(awg), 20.0);
            assert!(
                (ours / ohm - 1.0).abs() < 1e-3,
                "{awg}: {ours} against {ohm}"
            );
        }
    }

    #[test]
    fn warm_copper_agrees_with_a_second_table() {
        // Conductor resistance page (values per 1000 ft at 25 °C): 14 AWG 2.573 Ω,
        // against 2.525 Ω at 20 °C in the HyperPhysics table.
        assert!((at_temperature(2.525, 20.0, 25.0, COPPER_PER_KELVIN) / 2.573 - 1.0).abs() < 1e-3);
        // Two published exercises on temperature dependence of resistance.
        assert!((at_temperature(28.2, 24.5, 68.8, 0.004_041) - 33.248).abs() < 1e-3);
        assert!((at_temperature(400.0, 18.0, 80.0, 0.0039) - 496.72).abs() < 0.01);
    }

    #[test]
    fn a_battery_cable_drops_what_the_reference_set_computes() {
        // Reference set, cable-2awg-crank (computed from the HyperPhysics table):
        // 1.5 m of 2 AWG is 0.769 mΩ and drops 0.154 V at 200 A.
        let ohm = copper_ohm(1.5, awg_mm2(2), 20.0);
        assert!((ohm / 0.769e-3 - 1.0).abs() < 2e-3);
        assert!((ohm * 200.0 / 0.1538 - 1.0).abs() < 2e-3);
    }

    #[test]
    fn contacts_outweigh_the_copper_of_a_short_lead() {
        let ohm = Lead::BYPASS.ohm();
        let copper = ohm.value - 2.0 * CLIP.value;
        assert!(copper > 0.0 && copper < CLIP.value, "{copper}");
        assert!((ohm.u - CLIP.u * 2.0_f64.sqrt()).abs() < 1e-12);
    }
}
