//! Shapes written as SVG; whatever is in a design is escaped here.

use super::plan::{Plan, Shape};
use crate::render::kit::xml::escaped;
use std::fmt::Write;

/// Writes the plan; `title` is for those who can't see it.
pub(super) fn write(plan: &Plan, title: &str) -> String {
    let mut out = String::new();
    let (width, height) = (plan.width, plan.height);
    // Writing to a string can't fail.
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" \
         font-family=\"sans-serif\" role=\"img\">\n<title>{}</title>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>",
        escaped(title)
    );
    for shape in &plan.shapes {
        let _ = match shape {
            Shape::Text { at: (x, y), size, bold, grey, right, lead, text } => {
                let weight = if *bold { " font-weight=\"bold\"" } else { "" };
                let anchor = if *right { " text-anchor=\"end\"" } else { "" };
                let lead = if lead.is_empty() {
                    String::new()
                } else {
                    format!("<tspan font-weight=\"bold\">{}</tspan>{}", escaped(lead), if text.is_empty() { "" } else { "  " })
                };
                let colour = if *grey { "#5a5a5a" } else { "#000000" };
                writeln!(
                    out,
                    "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" fill=\"{colour}\"{weight}{anchor} xml:space=\"preserve\">{lead}{}</text>",
                    escaped(text)
                )
            }
            Shape::Box { at: (x, y), size: (width, height), thick, dashed } => {
                let dashes = if *dashed { " stroke-dasharray=\"7 5\"" } else { "" };
                writeln!(
                    out,
                    "<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" rx=\"3\" fill=\"#f7f7f7\" stroke=\"#000000\" \
                     stroke-width=\"{thick}\"{dashes}/>"
                )
            }
            Shape::Path { data, colour, thick, dashed } => {
                let dashes = if *dashed { " stroke-dasharray=\"9 6\"" } else { "" };
                writeln!(out, "<path d=\"{data}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{thick}\"{dashes}/>")
            }
        };
    }
    out.push_str("</svg>\n");
    out
}
