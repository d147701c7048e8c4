//! Converters that feed each other in a ring, in words.

use crate::wording::list;

/// How what the first of these gives comes back to its own input.
pub fn round_of(names: &[String]) -> String {
    let through: Vec<String> = names.iter().skip(1).map(|name| format!("`{name}`")).collect();
    if through.is_empty() {
        "its output reaches its own input".to_owned()
    } else {
        format!("its output reaches its own input through {}", list(&through))
    }
}
