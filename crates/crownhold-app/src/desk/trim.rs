//! Forms that a role may not send are left out of the pages it looks at, in one place for all pages.

use axum::body::{Body, to_bytes};
use axum::http::Method;
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE};
use axum::response::Response;

use super::ranks::{may, right_of};
use super::shell::broken;
use crate::actions::access::Rank;

/// Largest page that is looked through, bytes.
const LARGEST: usize = 64 << 20;
const FORM: &str = "<form method=\"post\" action=\"";
const PLAIN: &str = " data-plain=\"";
const END: &str = "</form>";

/// A page without the forms that its reader may not send; anything else as it is.
pub async fn trimmed(answer: Response, rank: Rank) -> Response {
    let is_page = answer.headers().get(CONTENT_TYPE).is_some_and(|t| t.as_bytes().starts_with(b"text/html"));
    if rank == Rank::Manager || !is_page {
        return answer;
    }
    let (mut parts, body) = answer.into_parts();
    let Ok(bytes) = to_bytes(body, LARGEST).await else { return broken() };
    parts.headers.remove(CONTENT_LENGTH);
    Response::from_parts(parts, Body::from(without_refused(&String::from_utf8_lossy(&bytes), rank)))
}

/// A map on which shapes are drawn says where it sends them.
const DRAWS: &str = " save=\"";

fn without_refused(page: &str, rank: Rank) -> String {
    without_tools(&without_forms(page, rank), rank)
}

/// Maps without the drawing tools whose shapes a role may not send.
fn without_tools(page: &str, rank: Rank) -> String {
    let Some((before, rest)) = page.split_once(DRAWS) else { return page.to_owned() };
    let Some((path, after)) = rest.split_once('"') else { return page.to_owned() };
    let rest = without_tools(after, rank);
    if may(rank, right_of(&Method::POST, path)) {
        format!("{before}{DRAWS}{path}\"{rest}")
    } else {
        format!("{before}{rest}")
    }
}

fn without_forms(page: &str, rank: Rank) -> String {
    let mut kept = String::with_capacity(page.len());
    let mut rest = page;
    while let Some(at) = rest.find(FORM) {
        let (before, form) = rest.split_at(at);
        kept.push_str(before);
        let end = form.find(END).map_or(form.len(), |end| end + END.len());
        let (form, after) = form.split_at(end);
        match refusal(form, rank) {
            Some(words) => kept.push_str(&words),
            None => kept.push_str(form),
        }
        rest = after;
    }
    kept.push_str(rest);
    kept
}

/// What stands in the place of a form; `None` where it may be sent. A button needs no word, a form to fill in does, and one
/// that shows what it changes says it as `data-plain`.
fn refusal(form: &str, rank: Rank) -> Option<String> {
    let path = form[FORM.len()..].split(['"', '?', '#']).next().unwrap_or_default();
    if path == "/logout" || may(rank, right_of(&Method::POST, path)) {
        return None;
    }
    let opening = form.split('>').next().unwrap_or_default();
    if let Some((_, rest)) = opening.split_once(PLAIN) {
        return rest.split_once('"').map(|(words, _)| words.to_owned());
    }
    let is_long = opening.contains("class=\"stack\"");
    let words = || format!("<p class=\"soft\">Your role, {}, does not go that far.</p>", rank.word());
    Some(if is_long { words() } else { String::new() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_role_sees_what_it_may_send() {
        let page = "<h2>Add</h2><form method=\"post\" action=\"/field/bands\" class=\"stack\"><button>Add</button></form>\
                    <td><form method=\"post\" action=\"/field/bands/1/remove\"><button>Remove</button></form></td>\
                    <form method=\"get\" action=\"/field/bands\"><button>Show</button></form>\
                    <form method=\"post\" action=\"/logout\"><button>Out</button></form>";
        let map = "<crown-map mode=\"areas\" save=\"/plan/areas\" units=\"us\"></crown-map>";
        assert_eq!(without_refused(map, Rank::Manager), map);
        assert_eq!(without_refused(map, Rank::Reader), "<crown-map mode=\"areas\" units=\"us\"></crown-map>");
        let row =
            "<td><form method=\"post\" action=\"/plan/areas/1\" data-plain=\"school: by the mill\"><input></form></td>";
        assert_eq!(without_refused(row, Rank::Manager), row);
        assert_eq!(without_refused(row, Rank::Reader), "<td>school: by the mill</td>");
        let sees =
            |rank: Rank| ["Add</b", "Remove", "Show", "Out"].map(|word| without_refused(page, rank).contains(word));
        assert_eq!(sees(Rank::Technician), [true, true, true, true]);
        assert_eq!(sees(Rank::Crew), [true, false, true, true]);
        assert_eq!(sees(Rank::Reader), [false, false, true, true]);
        let read = without_refused(page, Rank::Reader);
        assert!(
            read.contains("<h2>Add</h2><p class=\"soft\">Your role, reader") && read.contains("<td></td>"),
            "{read}"
        );
    }
}
