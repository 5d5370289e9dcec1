//! Forms in which figures stand in prose, one by one. Common practice of the language, no source, unless a line says so.

use packstring::quantity::{Amount, Figure, Hedge, Language, Limit, plain};

/// What is read in a text: words, value, unit, and how it is loosened or bound.
fn told(tag: &str, text: &str) -> Vec<String> {
    let tell = |figure: &Figure| {
        let amount = match &figure.quantity.amount {
            Amount::One(value) => plain(value),
            Amount::Range(low, high) => format!("{}–{}", plain(low), plain(high)),
        };
        let bound = match (figure.limit, figure.hedge) {
            (Some(Limit::AtMost), _) => "≤",
            (Some(Limit::AtLeast), _) => "≥",
            (Some(_), _) => "=",
            (None, Some(Hedge::About)) => "~",
            (None, Some(Hedge::Nearly)) => "nearly",
            (None, Some(Hedge::Over)) => ">",
            (None, Some(Hedge::Under)) => "<",
            (None, None) => "",
        };
        format!("{} {bound}", format!("{amount} {}", figure.quantity.unit.name()).trim())
            .trim()
            .replace("  ", " ")
    };
    Language::of(tag, &[]).read(text).iter().map(tell).collect()
}

fn hold(tag: &str, rows: &[(&str, &[&str])]) {
    for (text, expected) in rows {
        assert_eq!(told(tag, text), *expected, "{tag}: {text}");
    }
}

#[test]
fn one_of_a_unit_by_its_article() {
    hold(
        "en",
        &[
            ("Boil it for one full minute.", &["1 minute"]),
            ("Let it boil for a full minute.", &["1 minute"]),
            ("Rest two whole days.", &["2 day"]),
            ("Give it a gallon per person per day.", &["1 gallon per person per day"]),
            ("It drinks a quart a day.", &["1 quart per day"]),
            ("An ounce of the baking kind may be enough.", &["1 ounce"]),
            ("At the foot of the bed.", &[]),
            ("It takes 45 minutes to an hour.", &["0.75–1 hour"]),
            ("Wait between 45 minutes and an hour.", &["0.75–1 hour"]),
            ("It takes an hour to 90 minutes.", &["60–90 minute"]),
            ("It sets in within an hour or two.", &["1–2 hour ≤"]),
            ("The spring is a mile or two on.", &["1–2 mile"]),
            ("Take a mile or two of rope.", &["1–2 mile"]),
            ("Bring a quart or two buckets.", &["2 bucket"]),
        ],
    );
    hold(
        "es",
        &[
            ("Riegue 2 litros de agua por 20 min.", &["2 liter", "20 minute"]),
            ("Dé 1 ml por cada 50 kg.", &["0.02 milliliter per kilogram"]),
        ],
    );
    hold(
        "fr",
        &[
            ("Gardez-la un mois dans un flacon.", &["1 month"]),
            ("À plus de 20 pi de la fenêtre.", &["20 foot >"]),
            ("La tente mesure 6 pi 8 po.", &["80 inch"]),
            ("Ajoutez 2 c. à thé de levure et 1 c. à soupe de sel.", &["2 teaspoon", "1 tablespoon"]),
            ("Épandez 3 L/ha par temps calme.", &["3 liter per hectare"]),
        ],
    );
}

#[test]
fn abbreviations_with_stops_and_counts_of_occasions() {
    hold(
        "en",
        &[
            ("Gusts may reach 65 m.p.h. on the ridge.", &["65 mile per hour ≤"]),
            ("Fill it to 35 p.s.i. at home.", &["35 pound per square inch"]),
            ("Meet at 9 a.m. or 2 p.m. there.", &[]),
            ("Oil it once a season.", &["1 time per season"]),
            ("Twice a trip, look under the pad.", &["2 time per trip"]),
            ("Once a horse has bolted, wait.", &[]),
            ("Follow the 4-to-1 rule.", &["4"]),
            ("Carry 3 L.", &["3 liter"]),
            ("Call 911 if it goes on.", &[]),
            ("Call 300 people.", &["300 person"]),
        ],
    );
    hold("fr", &[("Le numéro est le 0 800 12 34 56.", &[]), ("Appelez le 01 23 45 67 89.", &[])]);
}

/// A pronoun is told by what stands beside it, and not by the sentence.
#[test]
fn one_that_stands_for_somebody_or_something() {
    hold(
        "en",
        &[
            ("If you are the only one there, shout.", &[]),
            ("One never knows.", &[]),
            ("One rides in the open, and one walks in the trees.", &[]),
            ("Back then one had to make do.", &[]),
            ("A careful one, a comfortable one and a plastic one.", &[]),
            ("Only one person stays.", &["1 person"]),
            ("Take one bus.", &["1 bus"]),
            ("The one mile loop.", &["1 mile"]),
        ],
    );
}

#[test]
fn numbers_in_every_form() {
    hold(
        "en",
        &[
            ("Ages 8 through 12 may join.", &["8–12"]),
            ("Send 20 through 100 riders.", &["20–100 rider"]),
            ("Walk five miles through two gates.", &["5 mile", "2 gate"]),
            ("Leave between 5 feet and 10 feet of line.", &["5–10 foot"]),
            ("About 14/47 of the herd was fed.", &["14/47 ~"]),
            ("It takes 20/30 L of water.", &["20–30 liter"]),
            ("A dose of 2.48×10−5 g.", &["0.0000248 gram"]),
            ("A dose of 2.48 x 10^-5 g.", &["0.0000248 gram"]),
            ("It is 3.2 × 10⁻⁶ m.", &["0.0000032 meter"]),
            ("It holds 1.5 x 10^6 gallons.", &["1500000 gallon"]),
            ("About 2.3M visitors came.", &["2300000 visitor ~"]),
            ("Use 5M of rope.", &[]),
            ("A slope of 10:1.", &["10"]),
            ("A 1:4 mix.", &["0.25"]),
            ("Mix 1:10 with water.", &["0.1"]),
            ("Meet at 1:10.", &[]),
            ("The map is 1:50,000.", &[]),
            ("A four-to-one mix.", &["4"]),
            ("They were outnumbered four to one.", &["4"]),
            ("Three out of five riders wore vests.", &["60 percent"]),
            ("In the mid-40s at dawn.", &["44–46"]),
            ("Temperatures in the low 90s °F.", &["90–93 degree Fahrenheit"]),
            ("Wait 40s.", &["40 second"]),
            ("Within thirty (30) days.", &["30 day ≤"]),
            ("A couple of dozen horses.", &["24 horse"]),
            ("A refund of $-99.99, then -$5.", &["-99.99 dollar", "-5 dollar"]),
            ("Six foot two, or 6-foot-2.", &["74 inch", "74 inch"]),
            ("A two-by-four will do.", &[]),
            ("It took 2 h 30.", &["150 minute"]),
        ],
    );
}

#[test]
fn letters_and_articles_that_may_be_units() {
    hold(
        "en",
        &[
            ("Seat 13F is free.", &[]),
            ("We took 13F and went.", &[]),
            ("Heat it to 350F.", &["350 degree Fahrenheit"]),
            ("Water of 5C is cold.", &["5 degree Celsius"]),
            ("Compound 3L was mixed.", &[]),
            ("The bucket holds 3L of water.", &["3 liter"]),
            ("Dig a foot down.", &["1 foot"]),
            ("It takes an hour.", &["1 hour"]),
            ("Leave a gallon of water.", &["1 gallon"]),
            ("She put a foot in the stirrup.", &[]),
            ("Take a day off.", &[]),
            ("Order 10 board feet.", &["10 board foot"]),
            ("A sling of 22 kN holds; it blew at 22 kn.", &["22 kilonewton", "22 knot"]),
        ],
    );
}

#[test]
fn how_often_and_how_much_of_each() {
    hold(
        "en",
        &[
            ("Feed once a day.", &["1 time per day"]),
            ("Feed twice a day and brush.", &["2 time per day"]),
            ("Feed twice daily.", &["2 time per day"]),
            ("Once or twice a week.", &["1–2 time per week"]),
            ("Once a rider falls, stop.", &[]),
            ("Water once every two hours.", &["2 hour"]),
            ("Rinse 3x a day.", &["3 time per day"]),
            ("A 10x12 tent.", &[]),
            ("5 mg per 100 mL.", &["0.05 milligram per milliliter"]),
            ("1 to 2 mg per 100 mL.", &["0.01–0.02 milligram per milliliter"]),
            ("3 lb per 1,000 sq ft.", &["0.003 pound per square foot"]),
            ("Press 100 a minute.", &["100 per minute"]),
            ("He saw 5 a week ago.", &["5", "1 week"]),
        ],
    );
}

#[test]
fn below_zero() {
    hold(
        "en",
        &[
            ("It was 2 degrees below zero.", &["-2 degree"]),
            ("It fell to 20 below zero.", &["-20 degree"]),
            ("Ten degrees below zero Fahrenheit.", &["-10 degree Fahrenheit"]),
            ("10 degrees below freezing.", &["10 degree"]),
        ],
    );
}

#[test]
fn words_that_bind_or_come_near() {
    hold(
        "en",
        &[
            ("Min. 6 ft.", &["6 foot ≥"]),
            ("Leave 6 ft+.", &["6 foot ≥"]),
            ("Never under six feet.", &["6 foot ≥"]),
            ("Children 12 or younger ride free.", &["12 ≤"]),
            ("At 90 °F or above, stop.", &["90 degree Fahrenheit ≥"]),
            ("A little less than 6 ft.", &["6 foot nearly"]),
            ("Somewhat less than 6 ft.", &["6 foot nearly"]),
            ("A bit under 6 ft.", &["6 foot nearly"]),
            ("Less than 6 ft.", &["6 foot <"]),
            ("Slightly more than 6 ft.", &["6 foot >"]),
            ("No more than a couple of yards.", &["2 yard ≤"]),
        ],
    );
}

#[test]
fn units_of_safety_and_field_work() {
    hold(
        "en",
        &[
            ("It is 85 dB at 440 Hz and 2.4 GHz.", &["85 decibel", "440 hertz", "2.4 gigahertz"]),
            ("Keep pH 7.5 and 2 ppm.", &["7.5 pH", "2 part per million"]),
            ("A UV index of 8 burns.", &["8 UV index"]),
            ("A magnitude 6.5 quake.", &["6.5 magnitude"]),
            ("Salt of 35 PSU or 35 ‰.", &["35 practical salinity unit", "35 per mille"]),
            ("It falls at 9.8 m/s².", &["9.8 meter per second squared"]),
            ("It is 4.2 light years away.", &["4.2 light year"]),
            ("Torque to 25 N·m, in 5 kWh.", &["25 newton meter", "5 kilowatt hour"]),
            (
                "It costs CHF 20, ₹500 or 30 NZD.",
                &["20 Swiss franc", "500 Indian rupee", "30 New Zealand dollar"],
            ),
        ],
    );
}

#[test]
fn spanish_forms() {
    hold(
        "es",
        &[
            ("Agregue litro y medio de agua.", &["1.5 liter"]),
            ("Son dos y medio.", &["2.5"]),
            ("Lleve 20/30 L de agua.", &["20–30 liter"]),
            ("Con 1 cdta. de sal y 500 gr. de harina.", &["1 teaspoon", "500 gram"]),
            ("Mide treintaicinco pies.", &["35 foot"]),
            ("Una decena de caballos.", &["10 horse"]),
            ("Dura hora y cuarto.", &["1.25 hour"]),
            ("Dura dos horas y cuarto.", &["2.25 hour"]),
            ("La tercera parte del agua.", &["1/3"]),
            ("El doble de agua.", &["2 time"]),
            ("Mide seis pies y pico.", &["6 foot >"]),
            ("Hace 2 grados bajo cero.", &["-2 degree"]),
            ("Hace menos 18 °F.", &["-18 degree Fahrenheit"]),
            ("Mide 6 pulg. de hondo.", &["6 inch"]),
            ("Espere una quincena.", &["1 fortnight"]),
            ("Una vez al año.", &["1 time per year"]),
            ("Un millón y medio de visitas.", &["1500000 visita"]),
            ("Algo menos de seis pies.", &["6 foot nearly"]),
        ],
    );
}

#[test]
fn french_forms() {
    hold(
        "fr",
        &[
            ("Il mesure un mètre et demi.", &["1.5 meter"]),
            ("Comptez deux heures et demie.", &["2.5 hour"]),
            ("Attendez une demi-heure, ou trois quarts d’heure.", &["0.5 hour", "0.75 hour"]),
            ("Il y a soixante-dix mètres.", &["70 meter"]),
            ("Il y a septante-cinq mètres.", &["75 meter"]),
            ("Il y a quatre-vingt-dix-neuf pieds.", &["99 foot"]),
            ("Il y a nonante et un pieds.", &["91 foot"]),
            ("Il pèse mille deux cents kilos.", &["1200 kilogram"]),
            ("À 1 200 mètres, puis 2 500,5 m.", &["1200 meter", "2500.5 meter"]),
            ("À 12\u{202f}500 mètres.", &["12500 meter"]),
            ("Cela coûte 7,50 €.", &["7.5 euro"]),
            ("Au plus 40 minutes.", &["40 minute ≤"]),
            ("Au moins deux litres.", &["2 liter ≥"]),
            ("Jusqu'à six heures.", &["6 hour ≤"]),
            ("Moins d’un mètre.", &["1 meter <"]),
            ("Ne dépassez jamais les 10 mètres.", &["10 meter ≤"]),
            ("La corde n’excède pas 6 pieds.", &["6 foot ≤"]),
            ("Pas plus de trois nuits.", &["3 night ≤"]),
            ("Un peu moins de 6 m.", &["6 meter nearly"]),
            ("15 °C ou moins.", &["15 degree Celsius ≤"]),
            ("Entre 10 et 15 °C.", &["10–15 degree Celsius"]),
            ("Deux fois par jour.", &["2 time per day"]),
            ("Une fois par an.", &["1 time per year"]),
            ("Une fois arrivé, buvez.", &[]),
            ("Il fait moins dix degrés.", &["-10 degree"]),
            ("Une vingtaine de chevaux.", &["20 horse ~"]),
            ("Départ à 14 h 30.", &[]),
            ("Le trajet dure 2 h 30.", &["150 minute"]),
            ("Un million et demi de visiteurs.", &["1500000 visitor"]),
        ],
    );
}
