//! The annotated spec that the command `new` prints to start from.
//!
//! It describes a small machine that works, so that it can be checked and printed before a word of it is changed. A test
//! opens it and asks whether its relay pulls in.

/// The spec, with `{id}` and `{name}` to fill in.
const TEMPLATE: &str = r#"# Description of one machine. Change it line by line from its schematic; `benchleaf check FILE` says what is left to do.
# Values are text with a unit: "2.5 A", "4k7", "0.47 uF", "24 V ac 50 Hz", with a tolerance behind: "120 ohm ±5 %".
# A value that was measured says so: coil = { value = "118 ohm", origin = "measured", source = "bench, 3 March" }

[machine]
id = "{id}"                    # short name for files
name = "{name}"
kind = "coin-operated dispenser"
revision = 1
revised = 2026-01-31           # the date that is printed
mains = "230 V ac 50 Hz"       # brings the mains cautions; leave out for a machine on batteries
reference = "COM"              # the joint of the black lead
sources = ["schematic sheet 1"]

# Where power comes from. The names of its terminals stand left, the joints that the runs meet stand right.
[[supply]]
id = "PS1"
label = "control supply"
voltage = "24 V dc ±10 %"
internal = "0.5 ohm"           # left out, it is estimated from rating and regulation
terminals = { "+" = "P24", "-" = "COM" }
place = "power chassis"

# What the maker calls for. What is in the clips goes under `fitted = "5 A T"`.
[[fuse]]
id = "F1"
rated = "1 A"
speed = "T"                    # FF, F, M, T or TT
body = "5x20"
protects = "control circuit"
place = "beside the transformer"

# Contacts by the numbers at their terminals; a change-over is written common, break, make: "9-10-11" = "change-over".
[[relay]]
id = "K1"
label = "credit relay"
coil = "160 ohm"
nominal = "24 V dc"            # operates at 75 % of it unless `operate` says otherwise
contacts = { "5-6" = "make", "7-8" = "make" }
place = "relay plate, left"

[[diode]]
id = "D1"
across = "K1"                  # its run is made for you, cathode to the positive side
reverse = "200 V"
forward = "1 A"

[[diode]]
id = "D2"
across = "L1"
reverse = "200 V"
forward = "1 A"

[[switch]]
id = "S1"
label = "coin switch"
rest = "open"                  # as it is when nobody touches it
operated-by = "a coin in the chute"

[[switch]]
id = "S2..S3"                  # two alike, S2 and S3
label = "drawer switches"
rest = "closed"

[[solenoid]]
id = "L1"
label = "release solenoid"
coil = "48 ohm"
nominal = "24 V dc"
duty = "a second at a time"

[[plug]]
id = "J1"
ways = 6

# Where a probe can reach. The joint of a test point is the place where it stands in a run.
[[test-point]]
id = "TP1"
place = "fuse F1, far clip"

[[test-point]]
id = "TP2"
place = "K1, terminal 6"
minutes = 2                    # what one check here costs

# The wiring, as a finger follows it from joint to joint. Runs meet at joints, so any circuit can be written.
#   F1            through a part with two terminals    K1:5-6   through two terminals of a part
#   J1:3          through a pin of a plug              S2..S3   through alike parts in series
#   wire BN 1 m   along a wire: colours by IEC 60757, base and tracer as WH/RD, size and length if known
[[run]]
label = "coin circuit"
route = "P24 > F1 > TP1 > S1 > K1 > COM"

[[run]]
label = "hold circuit"
route = "TP1 > S2..S3 > K1:7-8 > K1:A1"

[[run]]
label = "release circuit"
route = "TP1 > K1:5-6 > TP2 > wire BN 0.75 mm2 1.2 m > J1:3 > L1 > COM"

# The steps of operation. `set` names everything that is moved from rest in that step.
[[sequence]]
number = 1
title = "Coin passes the chute"
set = ["S1"]
pulled-in = ["K1"]             # what the manual says; compared with what the circuit does
acts = ["K1", "L1"]            # what must act
symptom = "the coin is swallowed and nothing moves"

[[sequence]]
number = 2
title = "Credit is held"
after = 1                      # relays start as sequence 1 left them
pulled-in = ["K1"]
acts = ["L1"]
symptom = "the drawer is released for a moment only"

# What a paper says; compared with what is computed.
[[expect]]
at = "TP1"
sequence = 1
reads = "24 V dc ±10 %"
source = "schematic sheet 1"
"#;

/// An annotated spec for a machine of this id. It opens without errors; its values are examples to write over.
///
/// Characters that an id cannot hold become hyphens.
#[must_use]
pub fn template(id: &str) -> String {
    let id: String = id
        .chars()
        .map(
            |character| {
                if character.is_alphanumeric() || matches!(character, '-' | '_' | '.') { character } else { '-' }
            },
        )
        .collect();
    let id = if id.is_empty() || id == "wire" || id.contains("..") { "my-machine".to_string() } else { id };
    TEMPLATE.replace("{id}", &id).replace("{name}", &title(&id))
}

/// A name to start from: `tern-48` gives `Tern 48`.
fn title(id: &str) -> String {
    let words = id.split(['-', '_']).filter(|word| !word.is_empty()).map(|word| {
        let mut characters = word.chars();
        characters.next().map_or_else(String::new, |first| first.to_uppercase().chain(characters).collect())
    });
    words.collect::<Vec<String>>().join(" ")
}
