//! The day on which a sheet is made.

/// Today where the program runs, as ISO 8601 writes it: `2031-05-14`.
pub(crate) fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}

/// The time of day where the program runs: `19:42`.
pub(crate) fn time_now() -> String {
    let now = jiff::ZonedDateTime::now().time();
    format!("{:02}:{:02}", now.hour(), now.minute())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_written_as_iso_8601_does() {
        let today = today();
        let parts: Vec<usize> = today.split('-').map(str::len).collect();
        assert_eq!(parts, [4, 2, 2], "{today}");
    }
}
