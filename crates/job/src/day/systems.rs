//! What runs in a machine and was opened in this job: known by the words of the trade, in names
//! that people give. What no word says is told apart, and asked for all the same.

use lastbolt_machine::{End, Kind, ThingNo};

use crate::case::Written;
use crate::day::Ask;
use crate::matters::inside::leaves_an_opening;

/// What runs in lines, hoses and housings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum System {
    Brakes,
    Clutch,
    Refrigerant,
    Hydraulics,
    Steering,
    Gears,
    Fuel,
    Cooling,
    Oil,
}

impl System {
    /// What names its hazards in the table of hazards.
    pub(crate) fn hazard(self) -> &'static str {
        match self {
            Self::Brakes | Self::Clutch => "brake fluid",
            Self::Refrigerant => "refrigerant",
            Self::Hydraulics => "hydraulic line",
            Self::Steering => "power steering",
            Self::Fuel => "fuel line",
            Self::Cooling => "coolant",
            Self::Gears | Self::Oil => "",
        }
    }
}

/// Words for each, the narrower first: "gear oil" is of the gears, "fuel cooler" of the fuel. A
/// word counts where a word of the name begins with it. Common practice, no source.
const WORDS: [(System, &[&str]); 9] = [
    (System::Brakes, &["brake", "caliper", "calliper"]),
    (System::Clutch, &["clutch", "slave cylinder"]),
    (System::Refrigerant, &["refrigerant", "aircon", "air con", "evaporator", "condenser"]),
    (System::Hydraulics, &["hydraulic", "lift pump", "ram ", "loader", "spool", "power lift"]),
    (System::Steering, &["steering", "power steering"]),
    (System::Gears, &["gear", "transmission", "differential", "axle", "final drive"]),
    (
        System::Fuel,
        &[
            "fuel",
            "petrol",
            "gasoline",
            "diesel",
            "kerosene",
            "injector",
            "injection",
            "carb",
            "leak-off",
            "leak off",
        ],
    ),
    (
        System::Cooling,
        &[
            "coolant",
            "cooling",
            "cooler",
            "radiator",
            "thermostat",
            "heater",
            "water",
            "antifreeze",
            "impeller",
            "tell-tale",
        ],
    ),
    (System::Oil, &["oil", "sump", "lubricat", "dipstick"]),
];

/// Parts that hold what runs, so that taking them off opens it.
const HOLDS_IT: [&str; 9] =
    ["filter", "tank", "pump", "injector", "carb", "radiator", "sump", "strainer", "cooler"];
/// Words for a battery, or for cutting it off.
const BATTERY: [&str; 5] = ["batter", "accumulator", "isolat", "disconnect", "main switch"];
/// Conditions that cut off something else.
const NO_BATTERY: [&str; 9] =
    ["gas", "fuel", "hydraulic", "pressure", "water", "steam", "compressed", "leisure", "tap"];

/// Something that was open, and what runs in it, if a word says so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Opened {
    pub(crate) thing: ThingNo,
    pub(crate) system: Option<System>,
}

/// Tells what runs in something of that name.
pub(crate) fn named(name: &str) -> Option<System> {
    let name = format!(" {} ", name.to_lowercase().replace(['_', '/', ','], " "));
    let has = |words: &[&str]| words.iter().any(|word| name.contains(&format!(" {word}")));
    WORDS.iter().find(|(_, words)| has(words)).map(|(system, _)| *system)
}

/// Everything in which something runs and that was open in this job.
pub(crate) fn opened(ask: &Ask<'_>) -> Vec<Opened> {
    let (book, live) = (ask.book(), &ask.picture.now.live);
    let kernel = book.kernel;
    let mut all = Vec::new();
    for thing in kernel.all().filter(|&thing| live.disturbed.has(thing)) {
        let name = kernel.name(thing).to_lowercase();
        let is_wet = match book.written(thing) {
            Written::Tie(_) => {
                let kind = book.kind(thing);
                let lines = ["tube", "pipe", "hose", "line", "port"];
                // Much is pushed in; only some of it is a line.
                let is_line = kind != "push-in" || lines.iter().any(|word| name.contains(word));
                let opens = kernel.thing(thing).leaves_open || leaves_an_opening(kind);
                let fits = opens && is_line;
                fits || name.contains("drain") || name.contains("bleed")
            }
            Written::Part(_) => {
                named(&name).is_some() && HOLDS_IT.iter().any(|word| name.contains(word))
            }
            Written::Prep(prep) => prep.fluid.is_some(),
            Written::SetUp(_) => false,
        };
        let is_marked = book.kernel.thing(thing).kind != Kind::Prep && marked(ask, thing).is_some();
        if is_wet || is_marked {
            all.push(Opened { thing, system: system_of(ask, thing) });
        }
    }
    all
}

/// What runs in a thing as the file or a person marked it.
fn marked(ask: &Ask<'_>, thing: ThingNo) -> Option<System> {
    let words = ask.book().marks(thing).iter();
    let mut systems = words.filter_map(|word| match word.name() {
        "high-pressure fuel" | "fuel" => Some(System::Fuel),
        "hydraulics" => Some(System::Hydraulics),
        "coolant" => Some(System::Cooling),
        "brakes" => Some(System::Brakes),
        _ => None,
    });
    systems.next()
}

/// What runs in a thing: as marked, by its own name, its fluid, or by what it joins.
fn system_of(ask: &Ask<'_>, thing: ThingNo) -> Option<System> {
    let book = ask.book();
    let kernel = book.kernel;
    let fluid = match book.written(thing) {
        Written::Prep(prep) => prep.fluid.as_ref().map(|fluid| fluid.name.as_str()),
        _ => None,
    };
    let end = |end: &End| match *end {
        End::Fixed(fixed) => kernel.fixed[fixed].as_str(),
        End::Part(part) => kernel.name(part),
    };
    let own = fluid.into_iter().chain([kernel.name(thing)]);
    let ends = kernel.thing(thing).joins.iter().map(end);
    marked(ask, thing).or_else(|| own.chain(ends).find_map(named))
}

/// Whether the battery was cut off or came off in this job, and by what.
pub(crate) fn battery(ask: &Ask<'_>) -> Vec<ThingNo> {
    let kernel = &ask.picture.case.kernel;
    let live = &ask.picture.now.live;
    let is_it = |thing: &ThingNo| {
        let it = kernel.thing(*thing);
        let name = it.name.to_lowercase();
        let cuts = match it.kind {
            Kind::Part => name.contains("batter") && !name.contains("tray"),
            Kind::Tie => {
                let is_lead = ["earth", "cable", "plug"].contains(&ask.book().kind(*thing));
                name.contains("batter") && is_lead
            }
            Kind::Prep => BATTERY.iter().any(|word| name.contains(word)),
        };
        cuts && !NO_BATTERY.iter().any(|word| name.contains(word))
    };
    kernel.all().filter(|&thing| live.disturbed.has(thing)).filter(is_it).collect()
}

#[cfg(test)]
mod tests {
    use super::{System, named};

    /// Names as strangers give them; the narrower word wins, and a part of a word is none.
    #[test]
    fn what_runs_in_it_is_known_by_its_name() {
        let known = [
            ("Fuel return union", System::Fuel),
            ("injector 3 pipe", System::Fuel),
            ("gear oil drained", System::Gears),
            ("lower radiator hose", System::Cooling),
            ("hydraulic oil", System::Hydraulics),
            ("engine oil", System::Oil),
            ("front left brake hose", System::Brakes),
            ("oil cooler line", System::Cooling),
        ];
        for (name, system) in known {
            assert_eq!(named(name), Some(system), "{name}");
        }
        for name in ["coil", "hose 4", "flywheel bolts", "pipe", "soil guard"] {
            assert_eq!(named(name), None, "{name}: a part of a word is none");
        }
    }
}
