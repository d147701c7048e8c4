//! Which day it is: the one door to the clock. The day decides which waivers still hold, and nothing else.

use crate::failure::Failure;
use harness_core::Date;
use std::{
    ffi::OsStr,
    time::{Duration, SystemTime, UNIX_EPOCH},
};

/// Builds that must give the same bytes on any day set this to seconds since 1970 (reproducible-builds.org, the
/// specification of `SOURCE_DATE_EPOCH`, version 1.1).
const FIXED: &str = "SOURCE_DATE_EPOCH";

/// The day given; else that of `SOURCE_DATE_EPOCH`; else that of the clock. All in UTC.
///
/// # Errors
/// If `SOURCE_DATE_EPOCH` holds no number of seconds; completes "failed to …".
pub fn today(given: Option<Date>) -> Result<Date, Failure> {
    match given {
        Some(day) => Ok(day),
        None => day(std::env::var_os(FIXED).as_deref(), SystemTime::now()),
    }
}

/// The day written as year-month-day, for the command line.
///
/// # Errors
/// If it is not a day of the calendar.
pub fn read(text: &str) -> Result<Date, String> {
    Date::parse(text).ok_or_else(|| "write a day of the calendar as year-month-day, such as 2027-06-30".to_owned())
}

fn day(fixed: Option<&OsStr>, now: SystemTime) -> Result<Date, Failure> {
    let (seconds, from) = match fixed {
        Some(text) => {
            let seconds =
                text.to_str().filter(|text| text.bytes().all(|byte| byte.is_ascii_digit())).and_then(|text| text.parse().ok());
            (seconds, FIXED)
        }
        // A clock before 1970 is not set; the first day lets no waiver expire.
        None => (Some(now.duration_since(UNIX_EPOCH).unwrap_or(Duration::ZERO).as_secs()), "the clock"),
    };
    let date = seconds.and_then(|seconds: u64| Date::from_days(seconds / (24 * 60 * 60)));
    date.ok_or_else(|| {
        let text = fixed.unwrap_or_default().to_string_lossy();
        Failure::Told(format!(
            "take the day from {from}: `{text}` is not a number of seconds from 1970 to the year 9999; `--today` gives it too"
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::day;
    use std::{
        ffi::OsStr,
        time::{Duration, UNIX_EPOCH},
    };

    #[test]
    fn the_fixed_day_goes_before_the_clock() {
        let now = UNIX_EPOCH + Duration::from_secs(951_868_799);
        let at =
            |fixed: Option<&str>| day(fixed.map(OsStr::new), now).map(|date| date.to_string()).map_err(|error| error.to_string());
        // `date -u -d @951868799` and `@951868800` of GNU coreutils 9.
        assert_eq!(at(None).unwrap(), "2000-02-29");
        assert_eq!(at(Some("951868800")).unwrap(), "2000-03-01");
        for text in ["", "soon", "-1", "+1", "1.5", " 1", "99999999999999999999", "253402300800"] {
            assert!(at(Some(text)).unwrap_err().starts_with("take the day from SOURCE_DATE_EPOCH: `"), "{text}");
        }
        assert_eq!(day(None, UNIX_EPOCH - Duration::from_secs(9)).unwrap().to_string(), "1970-01-01");
    }
}
