//! Where every worked example and every golden figure of the project's reading is tested.
//!
//! Each row names a published example or a figure worked outside this project, and the test that holds it: a test function
//! as `file: function`, or a description of `tests/examples` by its name. The tests say which digits are compared.

use std::path::Path;

/// What is compared, and where.
type Row = (&'static str, &'static [&'static str]);

/// Worked examples of open textbooks and published notes.
const EXAMPLES: &[Row] = &[
    ("1 Lessons I ch. 5, series", &["dc5-series", "sums/resistances: series_from_a_textbook"]),
    ("2a-c Lessons I ch. 5, series, shorted, open", &["dc5-series-faults"]),
    ("3 Lessons I ch. 5, parallel", &["dc5-parallel", "sums/resistances: parallel_from_a_textbook"]),
    ("4a Lessons I ch. 5, three coils", &["dc5-coils", "sums/resistances: parallel_from_a_textbook"]),
    ("5 Lessons I ch. 7", &["dc7-series-parallel", "sums/resistances: mixed_from_college_physics"]),
    ("6 Lessons I ch. 6, divider", &["dc6-divider", "sums/resistances: series_from_a_textbook"]),
    ("7 Lessons I ch. 8, loaded divider", &["dc8-meter-loading", "sums/resistances: meter_loading_of_a_divider"]),
    ("9 Lessons I ch. 10, bridge", &["dc10-bridge"]),
    (
        "10 Lessons I ch. 12, long wires",
        &["dc12-long-wires-20c", "dc12-long-wires-35c", "sums/copper: a_textbook_with_other_copper"],
    ),
    ("11 Lessons I ch. 12, short circuit", &["dc12-short-circuit", "sums/copper: a_textbook_with_other_copper"]),
    ("12 Lessons I ch. 16, charge", &["sums/supplies: delays"]),
    ("13 Lessons I ch. 16, rise of a coil", &["sums/coils: rise_of_a_coil"]),
    ("14 College Physics 21.6", &["sums/supplies: waiting_times"]),
    ("15 College Physics 23.10", &["sums/coils: release_of_a_coil"]),
    ("16 University Physics 14.4", &["sums/coils: rise_of_a_coil", "sums/coils: release_of_a_coil"]),
    ("17 University Physics 10.5", &["sums/supplies: delays"]),
    ("18 Lessons II ch. 3", &["ac3-resistor-inductor", "sums/coils: ac_coil"]),
    ("19 Lessons II ch. 4", &["ac4-resistor-capacitor"]),
    ("20a, b Lessons II ch. 5", &["ac5-series", "ac5-parallel"]),
    ("21 College Physics 23.11, 23.12", &["rlc-60hz", "rlc-10khz", "rlc-resonance"]),
    ("21b University Physics 15.3", &["rlc-200hz"]),
    ("22a Lessons III ch. 3, diode and lamp", &["diode-forward", "diode-reversed"]),
    ("22b Lessons III ch. 3, LED", &["led-6v", "led-24v", "sums/resistances: dropping_resistor_from_a_textbook"]),
    ("22c Lessons III ch. 3, Zener diode", &["zener-regulator"]),
    ("23a-c College Physics 21.1", &["physics-series", "physics-parallel", "physics-mixed"]),
    ("25 College Physics 21.4", &["physics-voltmeter", "sums/resistances: meter_loading_of_a_divider"]),
    ("26, 26b relay makers' notes", &["sums/copper: warm_coils"]),
    ("27 FAA AC 43.13-1B, 11-7 and 11-8", &["sums/copper: drops_of_a_published_table"]),
];

/// Figures of fault dictionaries, fault simulation, bands, curved laws and rectified supplies.
const FIGURES: &[Row] = &[
    (
        "dictionary of the training circuit, thirteen states",
        &[
            "circuit/faults: readings_of_thirteen_states_agree_with_nodal_analysis",
            "faults/classes: classes_of_every_fault",
        ],
    ),
    (
        "its look-alikes",
        &["faults/classes: voltages_alone_leave_ten_sets", "faults/classes: only_the_missing_diode_is_invisible"],
    ),
    ("its smallest sets of points", &["faults/classes: four_points_are_enough"]),
    ("its entropy indices", &["faults/classes: entropy_index_of_each_point"]),
    ("coil shorted to 1 Ω", &["circuit/faults: a_shorted_coil_opens_the_fuse_and_then_reads_as_an_open_fuse"]),
    (
        "single changes by rank one",
        &["circuit/faults: rank_one_values_of_single_changes_come_out_to_all_printed_digits"],
    ),
    (
        "all corners, signs, spread",
        &[
            "circuit/bands: a_band_is_that_of_all_corners_and_the_drop_is_far_narrower",
            "circuit/bands: all_corners_of_the_box_span_the_printed_band_and_the_printed_ratio",
            "circuit/bands: sensitivities_and_the_spread_that_they_make_are_the_printed_ones",
            "circuit/bands: random_healthy_machines_stay_inside_a_proved_band_and_come_near_its_ends",
        ],
    ),
    ("bridge where signs flip", &["circuit/bands: a_bridge_whose_sensitivities_change_sign_still_gets_its_true_band"]),
    (
        "24 V, 100 Ω and a diode, exponential and straight",
        &[
            "spice/random: a_straight_diode_law_differs_from_the_exponential_one_by_less_than_a_hundredth_of_the_current",
            "circuit/laws: a_piecewise_linear_diode_in_series",
        ],
    ),
    ("two supplies through diodes", &["circuit/laws: two_supplies_through_diodes_let_only_the_higher_one_conduct"]),
    ("relay that loads its own supply", &["circuit/laws: a_relay_that_loads_its_own_supply_chatters_or_holds"]),
    ("coil of 120 Ω at 70 °C", &["sums/copper: warm_coils"]),
    ("lamp at 5.0 of 6.3 V", &["circuit/laws: a_lamp_follows_its_power_law", "sums/lamps: away_from_rated_volts"]),
    ("meters behind 100 kΩ", &["circuit/laws: meters_load_what_they_measure"]),
    ("ghost voltage", &["circuit/laws: an_open_contact_with_a_suppressor_shows_a_ghost_voltage"]),
    ("factors of rectified waves", &["sums/supplies: ideal_diodes"]),
    (
        "24 V RMS rectified",
        &["spice/transient: unsmoothed_supplies_follow_the_closed_form", "sums/supplies: unsmoothed"],
    ),
    (
        "24 V RMS smoothed",
        &["spice/transient: smoothed_supplies_have_the_steady_cycle_of_their_own_equations", "sums/supplies: smoothed"],
    ),
    (
        "half wave into a winding",
        &["spice/transient: a_missing_suppressor_shows_in_the_average_of_an_unsmoothed_half_wave"],
    ),
];

/// Common practice of the trade, without a source.
const PRACTICE: &[Row] = &[
    ("tweeter of 16 Ω replaced", &["sums/loudspeakers: a_tweeter_replaced"]),
    (
        "17 V of 33 V at a coil of 145 Ω",
        &[
            "sums/resistances: a_low_reading_at_a_relay_coil",
            "circuit/trade: seventeen_volts_at_a_coil_of_145_ohm_are_136_ohm_too_many_and_not_enough_to_pull_in",
        ],
    ),
    ("coil for 33 V on 24 V", &["circuit/trade: a_coil_for_33_volts_pulls_in_on_24_volts_of_the_bench"]),
    ("fuses far too large", &["sums/fuse_links: replacements", "audit/fuses: wrong_fuse_fitted"]),
    ("current-limiting lamp", &["circuit/trade: a_current_limiting_lamp_has_about_two_ohms_cold"]),
    ("switch bank in series", &["circuit/trade: a_switch_bank_in_series_is_dead_with_any_one_open"]),
    (
        "segment before and under the wiper",
        &["circuit/trade: a_segment_that_the_wiper_has_not_reached_reads_the_full_supply_and_near_zero_once_reached"],
    ),
];

#[test]
fn every_golden_names_a_test_that_is_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let listed = std::fs::read_to_string(root.join("suite/examples.rs")).unwrap();
    for (what, places) in EXAMPLES.iter().chain(FIGURES).chain(PRACTICE) {
        assert!(!places.is_empty(), "{what}");
        for place in *places {
            let there = if let Some((file, function)) = place.split_once(": ") {
                let text = std::fs::read_to_string(root.join("suite").join(file).with_extension("rs"));
                text.is_ok_and(|text| text.contains(&format!("#[test]\nfn {function}() {{")))
            } else {
                listed.contains(&format!("file: \"{place}\"")) && root.join(format!("examples/{place}.toml")).is_file()
            };
            assert!(there, "{what}: {place}");
        }
    }
}
