//! Draws the windows of tests with the program's own rasteriser.

use egui_kittest::TestRenderer;
use sagline::app::export::raster::{PixelSize, Raster};

/// A renderer for [`egui_kittest::Harness`] that needs no graphics library.
#[derive(Default)]
pub(crate) struct PlainRenderer {
    raster: Raster,
}

impl TestRenderer for PlainRenderer {
    fn handle_delta(&mut self, delta: &mut egui::TexturesDelta) {
        self.raster.take_textures(delta);
    }

    fn render(
        &mut self,
        ctx: &egui::Context,
        output: &egui::FullOutput,
    ) -> Result<image::RgbaImage, String> {
        let per_point = ctx.pixels_per_point();
        let meshes = ctx.tessellate(output.shapes.clone(), per_point);
        let size = PixelSize::of(ctx.content_rect().size(), per_point);
        self.raster
            .paint(&meshes, size, ctx.global_style().visuals.panel_fill)
            .map_err(|e| e.to_string())
    }
}
