//! A day of the calendar. The library has no clock: the caller gives the day.

use std::fmt;

/// A year-month-day that compares as a date does. There is no day that the calendar does not have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// The day written as `2027-06-30`: four, two and two digits. `None` for anything else, and for days such as 30 February.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        let mut parts = text.split('-').filter(|part| digits(part)).map(str::parse::<u16>);
        let (Some(Ok(year)), Some(Ok(month)), Some(Ok(day)), None) = (parts.next(), parts.next(), parts.next(), parts.next())
        else {
            return None;
        };
        let (month, day) = (u8::try_from(month).ok()?, u8::try_from(day).ok()?);
        let date = Self { year, month, day };
        let exists = (1..=12).contains(&month) && (1..=length(year, month)).contains(&day);
        // Written back it is the same text: no sign, no blank, no digit more or less.
        (exists && date.to_string() == text).then_some(date)
    }

    /// The day that begins `days` days after 1 January 1970, which is how clocks count; `None` beyond the year 9999.
    #[must_use]
    pub fn from_days(days: u64) -> Option<Self> {
        let mut left = days;
        for year in 1970..=9999 {
            for month in 1..=12 {
                let length = length(year, month);
                match u8::try_from(left) {
                    Ok(before) if before < length => return Some(Self { year, month, day: before + 1 }),
                    _ => left -= u64::from(length),
                }
            }
        }
        None
    }
}

/// Days of a month.
fn length(year: u16, month: u8) -> u8 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => 29,
        2 => 28,
        _ => 31,
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

#[cfg(test)]
mod tests {
    use super::Date;

    #[test]
    fn days_since_1970_are_those_that_gnu_date_prints() {
        // `date -u -d @$((86400 * DAYS)) +%F` of GNU coreutils 9.
        let printed = [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (11_017, "2000-03-01"),
            (20_088, "2024-12-31"),
            (20_999, "2027-06-30"),
            (47_541, "2100-03-01"),
            (2_932_896, "9999-12-31"),
        ];
        for (days, expected) in printed {
            assert_eq!(Date::from_days(days).unwrap().to_string(), expected, "{days}");
            assert_eq!(Date::parse(expected), Date::from_days(days));
        }
        assert_eq!(Date::from_days(2_932_897), None);
        assert_eq!(Date::from_days(u64::MAX), None);
    }

    #[test]
    fn only_days_of_the_calendar_are_read() {
        for text in ["2027-02-29", "2027-04-31", "2027-13-01", "2027-00-10", "2027-1-10", "27-01-10", "2027-01-10 ", "+027-01-10"]
        {
            assert_eq!(Date::parse(text), None, "{text}");
        }
        for text in ["", "-", "2027-01-10-", "2027--01-10", "2027-01", "２027-01-10", "2027-01-100"] {
            assert_eq!(Date::parse(text), None, "{text}");
        }
        assert!(Date::parse("2028-02-29") > Date::parse("2028-02-28"));
    }
}
