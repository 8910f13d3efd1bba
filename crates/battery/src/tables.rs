//! Every table and constant of the battery model, each with its source.
//!
//! Sources are named by title. "From memory" and "common practice" mean that
//! no document was read for the figure.
//!
//! Temperatures are in °C, voltages in V for a 12 V battery, charge as a fraction.

use crate::curve::Curve;

// ---- rested voltage against charge -------------------------------------------

/// Flooded, charge -> rested volt.
/// TM 5-3805-262-20 (US Army), battery no-load voltage test, p. 5-142. Agrees
/// within 0.06 V at every point with 6 × (SG + 0.84) from the specific
/// gravities of TM 5-4210-230-14&P-1, Table 2.
pub(crate) const OCV_FLOODED: Curve = Curve(&[
    (0.0, 11.7),
    (0.25, 12.0),
    (0.5, 12.2),
    (0.75, 12.4),
    (1.0, 12.6),
]);
/// EFB, charge -> rested volt. From memory; no table was found.
pub(crate) const OCV_EFB: Curve = Curve(&[
    (0.0, 11.8),
    (0.25, 12.05),
    (0.5, 12.25),
    (0.75, 12.45),
    (1.0, 12.7),
]);
/// AGM, charge -> rested volt. Owner's manual, AGM battery charging
/// recommendations table (bands 25/50/75/100 %); the point at 0 % is its lowest
/// line continued (from memory: AGM is flat at about 11.7 V).
pub(crate) const OCV_AGM: Curve = Curve(&[
    (0.0, 11.7),
    (0.25, 12.0),
    (0.5, 12.3),
    (0.75, 12.6),
    (1.0, 12.8),
]);
/// Gel, charge -> rested volt. From memory.
pub(crate) const OCV_GEL: Curve = Curve(&[
    (0.0, 11.75),
    (0.25, 12.05),
    (0.5, 12.3),
    (0.75, 12.55),
    (1.0, 12.85),
]);
/// Four lithium iron phosphate cells, charge -> rested volt. From memory.
pub(crate) const OCV_LIFEPO4: Curve = Curve(&[
    (0.0, 11.6),
    (0.1, 12.85),
    (0.25, 13.05),
    (0.5, 13.2),
    (0.75, 13.3),
    (0.95, 13.36),
    (1.0, 13.6),
]);

/// Half widths, volt, of what tables of the same chemistry say at one charge.
/// Flooded, charge -> half width: 0.06 V between the tables read (see
/// [`OCV_FLOODED`]; technical page "vehicle battery", charge state), 0.1 V when flat. AGM:
/// 0.1 V between pages read. EFB: 0.1 V wider than flooded, common practice.
/// Gel and lithium iron phosphate: from memory.
pub(crate) const OCV_SPREAD_FLOODED: Curve = Curve(&[(0.0, 0.10), (0.25, 0.06), (1.0, 0.06)]);
pub(crate) const OCV_SPREAD_AGM_V: f64 = 0.10;
pub(crate) const OCV_SPREAD_EFB_V: f64 = 0.16;
pub(crate) const OCV_SPREAD_GEL_V: f64 = 0.12;
pub(crate) const OCV_SPREAD_LIFEPO4_V: f64 = 0.08;

/// Rested voltage rises by this with temperature, V/°C for six cells:
/// 0.2 mV/°C per cell, from memory (not the charge-voltage compensation, which
/// is ten times larger and of the other sign).
pub(crate) const OCV_PER_C: f64 = 6.0 * 0.2e-3;
/// Temperature the voltage tables are taken to be for. Common practice.
pub(crate) const OCV_REFERENCE_C: f64 = 25.0;
/// Surface charge just after charging, volt above rest. From memory.
pub(crate) const SURFACE_CHARGE_V: f64 = 0.2;
/// Decay time of surface charge, hours. From memory, chosen so that the "at
/// least 3 h, preferably 8 h" of TM 9-6115-730-24 (US Army), WP 0050, leave
/// 45 mV and 4 mV.
pub(crate) const SURFACE_DECAY_H: f64 = 2.0;
/// Temperature assumed when nobody wrote it down, °C. Common practice.
pub(crate) const TEMPERATURE_UNKNOWN_C: f64 = 20.0;
/// Rest assumed when nobody wrote it down, hours. Common practice.
pub(crate) const REST_UNKNOWN_H: f64 = 1.0;

// ---- specific gravity and freezing -------------------------------------------

/// Charge -> specific gravity at 26.7 °C, full = 1.265.
/// TM 5-4210-230-14&P-1 (US Army), Table 2.
pub(crate) const SG_1265: Curve = Curve(&[
    (0.0, 1.120),
    (0.25, 1.155),
    (0.5, 1.190),
    (0.75, 1.225),
    (1.0, 1.265),
]);
/// Charge -> specific gravity, full = 1.280. TM 5-118-5 (US Army), Table II.
pub(crate) const SG_1280: Curve = Curve(&[
    (0.0, 1.130),
    (0.25, 1.190),
    (0.5, 1.220),
    (0.75, 1.250),
    (1.0, 1.280),
]);
/// Specific gravity correction per °F from 80 °F.
/// TM 5-4210-230-14&P-1 (US Army): 0.004 for each 10 °F.
pub(crate) const SG_PER_F: f64 = 0.004 / 10.0;
/// Specific gravity -> freezing point, °C. TM 5-4210-230-14&P-1 (US Army), Table 2.
pub(crate) const FREEZING: Curve = Curve(&[
    (1.120, -9.4),
    (1.155, -15.0),
    (1.190, -26.1),
    (1.225, -37.2),
    (1.265, -59.5),
]);
/// What freezing tables of different sources differ by, °C: US Army Ordnance
/// subcourse OD1002, Lesson 2, against TM 5-4210-230-14&P-1, Table 2.
pub(crate) const FREEZING_SPREAD_C: f64 = 3.0;

// ---- cranking -------------------------------------------------------------------

/// Temperature -> cranking power available, fraction of that at 26.7 °C.
/// TM 5-4210-230-14&P-1 (US Army), Table 3; at -28.9 °C the Army prints 0.20
/// and the classic table of a workshop article 0.25: the middle is used.
pub(crate) const AVAILABLE: Curve =
    Curve(&[(-28.9, 0.225), (-17.8, 0.40), (0.0, 0.65), (26.7, 1.0)]);
/// Temperature -> cranking power the engine requires, times that at 26.7 °C.
/// Workshop article carrying the classic table: power required 100/155/210/350 %.
pub(crate) const REQUIRED: Curve = Curve(&[(-28.9, 3.5), (-17.8, 2.1), (0.0, 1.55), (26.7, 1.0)]);
/// Least share of warm cranking power; the table ends at -28.9 °C. From memory.
pub(crate) const AVAILABLE_LEAST: f64 = 0.02;
/// End voltage of the SAE J537 cranking test (-18 °C, 30 s). Service manuals of
/// 1997-2000, RC and CCA definitions.
pub(crate) const SAE_END_V: f64 = 7.2;
/// Voltage lost within seconds of cranking beyond the ohmic part. From memory.
pub(crate) const POLARISATION_V: f64 = 0.3;
/// Temperature -> least voltage under a load of half the cranking current, which
/// is also taken as what starter and control units need while cranking.
/// TM 5-4210-230-14&P-1 (US Army), Table 5; workshop manuals of 2004-2009.
pub(crate) const LOAD_MINIMUM: Curve = Curve(&[
    (-18.0, 8.5),
    (-12.0, 8.7),
    (-7.0, 8.9),
    (-1.0, 9.1),
    (4.0, 9.3),
    (10.0, 9.4),
    (16.0, 9.5),
    (21.0, 9.6),
]);
/// Current an engine needs at 27 °C as a share of the SAE cranking current on
/// the label. Common practice; it lets three of four full new batteries crank
/// their engine at -18 °C with the two tables above.
pub(crate) const NEED_SHARE: f64 = 0.30;
/// Spread (standard deviation of the logarithm) of the need when it is taken
/// from the label, and when a person states it. Common practice.
pub(crate) const NEED_SPREAD_ASSUMED: f64 = 0.20;
pub(crate) const NEED_SPREAD_STATED: f64 = 0.10;
/// Spread (of the logarithm) of the model itself: resistance against charge
/// 0.10, least voltage 0.125 (about 0.3 V of 2.4 V), battery warmer or colder
/// than the air by about 1.5 °C 0.05; in quadrature. From memory.
pub(crate) const CRANK_MODEL_SPREAD: f64 = 0.17;

/// Divide a current in this standard by the factor for the SAE J537 current,
/// and the relative standard uncertainty of that factor.
/// EN: 0.92, web calculators (weak), used with ±10 %.
pub(crate) const EN_PER_SAE: (f64, f64) = (0.92, 0.10);
/// DIN: SAE = 1.7 × DIN, web calculators (weak); 1.5 to 1.7 from memory.
pub(crate) const DIN_PER_SAE: (f64, f64) = (1.0 / 1.7, 0.10);
/// IEC 60095-1, 60 s to 8.4 V: SAE = 1.55 × IEC, from memory.
pub(crate) const IEC_PER_SAE: (f64, f64) = (1.0 / 1.55, 0.15);
/// JIS D 5301-99 defines the same test as SAE (-18 °C, 30 s, 7.2 V; library
/// page quoting its notes). The spread is from memory.
pub(crate) const JIS_PER_SAE: (f64, f64) = (1.0, 0.03);

// ---- capacity -------------------------------------------------------------------

/// Relative standard uncertainty of a label's 20-hour capacity. Common practice.
pub(crate) const LABEL_CAPACITY_SPREAD: f64 = 0.05;
/// Of one from reserve minutes: the two rules differ by up to about 10 %.
pub(crate) const RESERVE_SPREAD: f64 = 0.10;
/// SAE cranking ampere per ampere-hour and its relative standard uncertainty.
/// Computed from the CCA/RC pairs 600/115, 770/115, 750/160, 625/180 of service
/// manuals (1997-2000), capacity by the mean of the two reserve rules: 8.4,
/// 10.8, 7.8, 5.9.
pub(crate) const CRANKING_PER_AH: (f64, f64) = (8.2, 0.25);
/// Current of the reserve capacity test, ampere. Service manuals of 1997-2000.
pub(crate) const RESERVE_A: f64 = 25.0;
/// Temperature -> usable capacity at the 20-hour rate and faster, fraction of
/// that at 25 °C: one over the cell-size factors of IEEE Std 485, from memory.
pub(crate) const CAPACITY_TEMPERATURE: Curve = Curve(&[
    (-3.9, 1.0 / 1.520),
    (0.0, 1.0 / 1.40),
    (4.4, 1.0 / 1.300),
    (10.0, 1.0 / 1.190),
    (15.6, 1.0 / 1.110),
    (21.1, 1.0 / 1.040),
    (25.0, 1.0),
    (32.2, 1.0 / 0.940),
    (37.8, 1.0 / 0.910),
]);
/// Share of that loss (of its logarithm) that remains at key-off currents a
/// hundred times slower than the 20-hour rate. From memory: "starter batteries
/// at very low current lose less".
pub(crate) const SLOW_LOSS_SHARE: f64 = 0.25;

/// Share of what is used from full after which a typical engine no longer
/// cranks at 25 °C. Dealer information "Battery parasitic drain".
/// Not part of the forecast, which computes the charge; tests compare.
pub const NO_START_USED_SHARE: f64 = 0.40;

// ---- recharge -------------------------------------------------------------------

/// Ampere-hours to return for each one missing, lead-acid.
/// Two battery-charger owner's manuals: hours = Ah × fraction / A × 1.25.
pub const RECHARGE_FACTOR: f64 = 1.25;
/// The same for lithium iron phosphate. From memory.
pub(crate) const RECHARGE_FACTOR_LIFEPO4: f64 = 1.03;
/// Charger taken when none is named: a tenth of the capacity. Common practice.
pub(crate) const CHARGER_SHARE_PER_H: f64 = 0.1;

// ---- self-discharge -------------------------------------------------------------

/// Hours in a month of self-discharge tables (365.25 days / 12).
pub(crate) const MONTH_H: f64 = 730.5;
/// Share of capacity per month at 20 °C and factor per 10 °C.
/// Flooded with calcium grids: 3 to 5 % per month, doubling per 10 °C, from memory.
pub(crate) const SELF_FLOODED: (f64, f64) = (0.04, 2.0);
/// EFB: as flooded. From memory.
pub(crate) const SELF_EFB: (f64, f64) = (0.04, 2.0);
/// AGM: 2 % per month at 25 °C, up to 50 % faster at 35 °C. Battery maker's
/// support article on storage of AGM. At 20 °C: 2 % / 1.5^0.5.
pub(crate) const SELF_AGM: (f64, f64) = (0.016_33, 1.5);
/// Gel: as AGM. From memory.
pub(crate) const SELF_GEL: (f64, f64) = (0.016_33, 1.5);
/// Lithium iron phosphate with its own protection circuit. From memory.
pub(crate) const SELF_LIFEPO4: (f64, f64) = (0.025, 1.5);
/// Rise per year of age, as a factor's slope. From memory; an old antimonial
/// battery loses 16 % a month at 27 °C (battery-maker FAQ).
pub(crate) const SELF_PER_YEAR: f64 = 0.10;
/// Spread (of the logarithm) with and without known age. From memory; one FAQ
/// gives 1 to 25 % per month for all batteries together.
pub(crate) const SELF_SPREAD_AGE_KNOWN: f64 = 0.35;
pub(crate) const SELF_SPREAD_AGE_UNKNOWN: f64 = 0.5;
