//! American wire gauge: sizes of round conductors by number.

/// Cross-section of gauge `number` in mm²; 0, -1, -2 and -3 stand for 1/0, 2/0, 3/0 and 4/0.
///
/// The diameter is `0.127 mm · 92^((36 − n) / 39)`. Source: ASTM B258, standard nominal diameters, as quoted on an
/// encyclopaedia page on the gauge. It is the area of a solid round conductor; strands of the same gauge differ a little.
pub(super) fn square_millimetre(number: i32) -> f64 {
    let diameter = 0.127 * 92_f64.powf(f64::from(36 - number) / 39.0);
    std::f64::consts::FRAC_PI_4 * diameter * diameter
}

/// The number of a gauge as it is written: `20`, `0`, `2/0` or `00`; `None` outside 4/0 to 40.
pub(super) fn number(written: &str) -> Option<i32> {
    let zeros = match written.split_once('/') {
        Some((count, "0")) => Some(count.parse::<i32>().ok()?),
        Some(_) => return None,
        None if !written.is_empty() && written.bytes().all(|digit| digit == b'0') => i32::try_from(written.len()).ok(),
        None => None,
    };
    match zeros {
        Some(zeros) => (1..=4).contains(&zeros).then_some(1 - zeros),
        None => {
            let plain = !written.is_empty() && written.bytes().all(|digit| digit.is_ascii_digit());
            written.parse::<i32>().ok().filter(|number| plain && (1..=40).contains(number))
        }
    }
}
