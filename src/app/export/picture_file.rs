//! The kinds of picture file, told apart by the end of the file's name.

use std::path::Path;

use crate::app::export::pdf::pdf;
use crate::app::export::picture::{Picture, PictureError, png};
use crate::app::export::svg::svg;
use crate::parts::escape::{self, escaped, shortened};

/// A kind of picture file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PictureKind {
    /// Pixels.
    #[default]
    Png,
    /// Lines, for the screen and to be edited.
    Svg,
    /// Lines, for paper.
    Pdf,
}

/// A file name that says no kind of picture.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("found {found}, expected a name that ends in .png, .svg or .pdf")]
pub struct UnknownKind {
    /// The end of the name as it was.
    pub found: String,
}

impl PictureKind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Png, Self::Svg, Self::Pdf];

    /// By the end of a file's name, in capitals or not.
    ///
    /// # Errors
    /// [`UnknownKind`] if it is none of ours.
    pub fn of(path: &Path) -> Result<Self, UnknownKind> {
        let Some(end) = path.extension() else {
            return Err(UnknownKind {
                found: "a name without an end".to_owned(),
            });
        };
        Self::ALL
            .into_iter()
            .find(|kind| end.eq_ignore_ascii_case(kind.end()))
            .ok_or_else(|| UnknownKind {
                found: format!(".{}", escaped(&shortened(&end.to_string_lossy()))),
            })
    }

    /// The end of its files' names.
    pub fn end(self) -> &'static str {
        match self {
            Self::Png => "png",
            Self::Svg => "svg",
            Self::Pdf => "pdf",
        }
    }

    /// The bytes of a file of this kind; `title` is its name for search and screen readers.
    ///
    /// # Errors
    /// [`PictureError`] if the picture cannot be drawn or encoded.
    pub fn bytes(self, picture: &Picture, title: &str) -> Result<Vec<u8>, PictureError> {
        let title = &escape::title(title);
        match self {
            Self::Png => png(&picture.raster()?),
            Self::Svg => Ok(svg(&picture.drawing(), title).into_bytes()),
            Self::Pdf => Ok(pdf(&picture.drawing(), title)?),
        }
    }
}
