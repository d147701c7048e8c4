//! The metal of the vehicle, by name: a number behind it is one of several places, not a cavity.

/// What it is called; conventions seen, and the same in a few other languages (common practice, no source).
const METAL: [&str; 27] = [
    "gnd",
    "ground",
    "chassis",
    "earth",
    "frame",
    "body",
    "mass",
    "masse",
    "massa",
    "massepunkt",
    "erde",
    "karosserie",
    "rahmen",
    "terre",
    "châssis",
    "chasis",
    "telaio",
    "terra",
    "tierra",
    "jord",
    "chassi",
    "masa",
    "chassis ground",
    "body ground",
    "chassis gnd",
    "frame ground",
    "chassis earth",
];

/// Words that say which of several places it is.
const WHERE: [&str; 34] = [
    "front",
    "rear",
    "left",
    "right",
    "lh",
    "rh",
    "engine",
    "main",
    "cab",
    "cabin",
    "point",
    "bay",
    "dash",
    "rail",
    "vorne",
    "hinten",
    "links",
    "rechts",
    "motor",
    "heck",
    "avant",
    "arrière",
    "gauche",
    "droite",
    "moteur",
    "anteriore",
    "posteriore",
    "sinistra",
    "destra",
    "delantera",
    "trasera",
    "izquierda",
    "derecha",
    "châssis",
];

/// Whether a name is the metal itself.
pub(crate) fn is_ground(name: &str) -> bool {
    METAL.contains(&name.trim().to_lowercase().as_str())
}

/// Whether a name is a place on the metal: `GND2`, `Chassis G1`, `Masse 3`, `ground rear left`.
pub(crate) fn is_ground_place(name: &str) -> bool {
    let lower = name.trim().to_lowercase();
    let mut words: Vec<&str> = lower.split([' ', '-', '_', '#', '/']).filter(|word| !word.is_empty()).collect();
    // `GND2`: the number belongs to the word.
    if let Some(last) = words.last_mut() {
        let stem = last.trim_end_matches(|letter: char| letter.is_ascii_digit());
        if stem.len() > 2 {
            *last = stem;
        }
    }
    let is_number = |word: &str| {
        let letters = word.chars().take_while(char::is_ascii_alphabetic).count();
        let digits = word.chars().filter(char::is_ascii_digit).count();
        letters <= 2 && digits <= 3 && letters + digits == word.chars().count() && (digits > 0 || letters == 1)
    };
    let (metal, rest): (Vec<&str>, Vec<&str>) =
        words.iter().partition(|word| METAL.contains(word) || ["ground", "gnd", "earth"].contains(word));
    !metal.is_empty() && rest.iter().all(|word| is_number(word) || WHERE.contains(word))
}

#[cfg(test)]
mod tests {
    use super::{is_ground, is_ground_place};

    /// Conventions seen, and the same in other languages (common practice, no source).
    #[test]
    fn places_on_the_metal_are_known_by_their_names() {
        for name in [
            "GND",
            "GND2",
            "GND 2",
            "Chassis G1",
            "chassis-3",
            "Masse 3",
            "ground rear left",
            "Engine ground",
            "Masse avant",
            "Body GND B",
            "Terre 2",
        ] {
            assert!(is_ground_place(name), "{name}");
        }
        for name in ["Ground relay", "Body computer", "Chassis ECU", "G1", "Massage seat", "Frame light 2", ""] {
            assert!(!is_ground_place(name), "{name}");
        }
        assert!(is_ground("Chassis Ground") && !is_ground("GND 2"));
    }
}
