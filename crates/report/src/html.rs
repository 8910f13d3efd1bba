//! The document as one HTML file.

use maud::{DOCTYPE, Markup, PreEscaped, html};
use tongue::say;

use crate::{
    ReportOptions,
    doc::{Block, Cells, Column, Document, Figure, Line, Manner, Row, Size, Table},
};

/// One self-contained page.
pub(crate) fn page(document: &Document, options: &ReportOptions) -> String {
    let page = html! {
        (DOCTYPE)
        html lang=(tongue::speaking().tag()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (document.title) }
                style { (PreEscaped(sheet())) }
            }
            body {
                @if let Some(address) = &options.take_along { (take_along(address, options.include_owner)) }
                main {
                    section.owner aria-labelledby="top" { (blocks(&document.owner)) }
                    section.workshop aria-labelledby="workshop" { (blocks(&document.workshop)) }
                }
            }
        }
    };
    page.into_string()
}

/// Links for the screen: the file on paper, with or without the owner's name.
fn take_along(address: &str, owner: bool) -> Markup {
    let asked = if owner { "&owner=yes" } else { "" };
    html! {
        nav.take aria-label=(say::report::take_along()) {
            @if let Some(job) = address.strip_suffix("/report") { a href=(job) { (say::report::back_to_job()) } }
            a href={ (address) ".pdf?paper=a4" (asked) } { (say::report::as_pdf("A4")) }
            a href={ (address) ".pdf?paper=letter" (asked) } { (say::report::as_pdf("Letter")) }
            @if owner { a href=(address) { (say::report::without_owner()) } }
            @else { a href={ (address) "?owner=yes" } { (say::report::with_owner()) } }
        }
    }
}

/// Colours by day, by night, on paper; then the layout.
fn sheet() -> String {
    let (day, night) = (picture::day_theme(), picture::night_theme());
    format!(
        ":root{{color-scheme:light dark;{day}}}\n\
         @media screen and (prefers-color-scheme:dark){{:root{{{night}}}}}\n{}{}",
        include_str!("report.css"),
        picture::style_sheet()
    )
}

fn blocks(blocks: &[Block]) -> Markup {
    html! { @for block in blocks { (self::block(block)) } }
}

fn block(block: &Block) -> Markup {
    html! {
        @match block {
            Block::Title(text) => { h1 #top { (text) } }
            Block::Heading { level: 2, id, text } => { h2 id=[*id] { (text) } }
            Block::Heading { id, text, .. } => { h3 id=[*id] { (text) } }
            Block::Para(manner, line) => { p class=[class(*manner)] { (words(line)) } }
            Block::List(lines) => { ul { @for line in lines { li { (words(line)) } } } }
            Block::Step(inside) => { div.step { (blocks(inside)) } }
            Block::Table(table) => { (self::table(table)) }
            Block::Figure(figure) => { (self::figure(figure)) }
        }
    }
}

fn class(manner: Manner) -> Option<&'static str> {
    match manner {
        Manner::Plain => None,
        Manner::Lead => Some("lead"),
        Manner::Kicker => Some("kicker"),
        Manner::Caution => Some("caution"),
        Manner::Invented => Some("invented"),
    }
}

fn words(line: &Line) -> Markup {
    html! {
        @for span in &line.0 {
            @if span.strong { strong { (span.text) } } @else { (span.text) }
        }
    }
}

fn table(table: &Table) -> Markup {
    match &table.region {
        Some(region) => html! {
            div.box tabindex="0" role="region" aria-label=(region) { (bare_table(table)) }
        },
        None => html! { div.keep { (bare_table(table)) } },
    }
}

fn bare_table(table: &Table) -> Markup {
    html! {
        // A wide table is set in blocks on a phone, which takes its meaning away
        // unless the roles say it.
        @let stacks = table.region.is_some();
        table.big[table.size == Size::Big].stacked[stacks] role=[stacks.then_some("table")] {
            caption { (table.caption) }
            @if !table.columns.is_empty() {
                thead role=[stacks.then_some("rowgroup")] {
                    tr role=[stacks.then_some("row")] {
                        @for column in &table.columns {
                            @if column.head.is_empty() { td {} }
                            @else { th.n[column.kind == Cells::Numbers] scope="col" role=[stacks.then_some("columnheader")] { (column.head) } }
                        }
                    }
                }
            }
            tbody role=[stacks.then_some("rowgroup")] { @for row in &table.rows { (self::row(row, &table.columns, stacks)) } }
        }
    }
}

fn row(row: &Row, columns: &[Column], stacks: bool) -> Markup {
    let head = |at: usize| {
        let head = columns.get(at).map(|column| &column.head);
        head.filter(|head| stacks && !head.is_empty())
    };
    let kind = |at: usize| columns.get(at).map_or(Cells::Words, |column| column.kind);
    html! {
        tr.hot[row.hot].struck[row.struck.is_some()] role=[stacks.then_some("row")] {
            @for (at, cell) in row.cells.iter().enumerate() {
                @if at == 0 {
                    th scope="row" role=[stacks.then_some("rowheader")] class=[(row.depth > 0).then(|| format!("in{}", row.depth.min(3)))] { (words(cell)) }
                } @else {
                    td.n[kind(at) == Cells::Numbers].w[kind(at) == Cells::Tied] role=[stacks.then_some("cell")] data-head=[head(at)] {
                        @if let Some(struck) = row.struck.as_ref().filter(|_| at == crate::tables::SAID) { span.mark { (struck) " " } }
                        (words(cell))
                    }
                }
            }
        }
    }
}

/// A picture in both widths, of which the reader's page shows one.
fn figure(figure: &Figure) -> Markup {
    html! {
        figure {
            div.nd-wide { (PreEscaped(figure.wide().svg())) }
            div.nd-narrow { (PreEscaped(figure.narrow().svg())) }
            @if !figure.caption.is_empty() { figcaption { (figure.caption) } }
        }
    }
}
