//! Faces installed on this machine, for letters that our own lack.

use std::sync::Arc;

use krilla::text::{Font, Tag};
use parley::layout::Run;
use skrifa::{
    FontRef, MetadataProvider,
    raw::{TableProvider, types},
};

/// Bits of a face's `fsType` that keep a part of it out of a file: restricted
/// embedding, no subsetting, bitmaps only (OpenType specification, table OS/2).
const NOT_EMBEDDED: u16 = 0x0002 | 0x0100 | 0x0200;
/// Tables of coloured letters, which come out as nothing in a file like this
/// (OpenType specification, tables CBDT, COLR, SVG and sbix).
const COLOURED: [&[u8; 4]; 4] = [b"CBDT", b"COLR", b"SVG ", b"sbix"];

/// Where on the axes of a variable face the letters of `run` are.
pub(super) fn place(run: &Run<'_, ()>) -> Vec<([u8; 4], f32)> {
    let synthesis = run.synthesis();
    let settings = synthesis.variation_settings().iter();
    settings
        .map(|(tag, value)| (tag.to_be_bytes(), *value))
        .collect()
}

/// The face of `run`, to be put into a file; `None` where it forbids that or has no outlines.
pub(super) fn face(run: &Run<'_, ()>) -> Option<Font> {
    let data = run.font();
    let font = FontRef::from_index(data.data.as_ref(), data.index).ok()?;
    let allowed = font.os2().ok()?.fs_type() & NOT_EMBEDDED == 0;
    let coloured = COLOURED
        .iter()
        .any(|tag| font.data_for_tag(types::Tag::new(tag)).is_some());
    font.outline_glyphs()
        .format()
        .filter(|_| allowed && !coloured)?;
    let place: Vec<(Tag, f32)> = place(run)
        .iter()
        .map(|(tag, value)| (Tag::new(tag), *value))
        .collect();
    let file: Arc<dyn AsRef<[u8]> + Send + Sync> = Arc::new(data.data.clone());
    Font::new_variable(file.into(), data.index, &place)
}
