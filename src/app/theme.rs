//! Every colour, text size and font of the window, for both themes.
//!
//! Limits are told apart by colour (Okabe–Ito, made for colour-blind readers), dash and label together, never by
//! colour alone. The `*_text` colours are the same hues set for reading: at least 4.5 : 1 on every ground of their
//! theme (WCAG 2.2 AA); the test below works the contrast out.

use std::sync::Arc;

use egui::epaint::CornerRadius;
use egui::{Color32, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke, TextStyle};

/// Small text: captions, units beside a bar (points).
pub(crate) const SMALL: f32 = 11.0;
/// Ordinary text (points).
pub(crate) const BODY: f32 = 13.0;
/// Headings and names (points).
pub(crate) const HEADING: f32 = 15.0;
/// The one large figure: volts and amperes of the point (points).
pub(crate) const FIGURE: f32 = 27.0;
/// Gap between cards (points).
pub(crate) const GAP: f32 = 8.0;
/// Margin of a panel (points).
pub(crate) const MARGIN: i8 = 16;
/// Corner radius of a card (points).
pub(crate) const RADIUS: u8 = 8;

/// The colours of one theme.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Theme {
    /// True for the near-black one.
    pub dark: bool,
    /// Behind the plot.
    pub ground: Color32,
    /// Behind the side panels.
    pub panel: Color32,
    /// A card.
    pub card: Color32,
    /// The card that is open.
    pub open_card: Color32,
    /// Ground of what is chosen in a row or list of choices.
    pub chosen: Color32,
    /// Behind letters that are selected in a text field; they are in `dropout_text`.
    pub selected: Color32,
    /// Behind a text field.
    pub well: Color32,
    /// Lines between things.
    pub line: Color32,
    /// The plot's grid.
    pub grid: Color32,
    /// Text that matters.
    pub ink: Color32,
    /// Text that accompanies.
    pub middle: Color32,
    /// The quietest text.
    pub dim: Color32,
    /// The envelope; all is well.
    pub envelope: Color32,
    /// The envelope's colour for text.
    pub envelope_text: Color32,
    /// Dropout line; what is selected.
    pub dropout: Color32,
    /// The dropout's colour for text.
    pub dropout_text: Color32,
    /// Near a limit.
    pub near: Color32,
    /// `near` for text.
    pub near_text: Color32,
    /// Over a limit.
    pub over: Color32,
    /// `over` for text.
    pub over_text: Color32,
    /// Plate dissipation.
    pub dissipation: Color32,
    /// Plate dissipation's colour for text.
    pub dissipation_text: Color32,
    /// Winding and other currents.
    pub winding: Color32,
    /// `winding` for text.
    pub winding_text: Color32,
    /// Readings.
    pub readings: Color32,
    /// Fill of the envelope, to be laid over the ground.
    pub envelope_fill: Color32,
    /// Fill where a limit is near, to be laid over the ground.
    pub near_fill: Color32,
    /// Fill where a limit is exceeded, to be laid over the ground.
    pub over_fill: Color32,
}

impl Theme {
    /// The near-black theme.
    pub(crate) const fn dark() -> Self {
        Self {
            dark: true,
            ground: rgb(0x10_13_17),
            panel: rgb(0x16_1a_20),
            card: rgb(0x1c_21_29),
            open_card: rgb(0x20_27_31),
            chosen: rgb(0x22_35_46),
            selected: rgb(0x1d_35_4a),
            well: rgb(0x12_16_1b),
            line: rgb(0x2c_33_3d),
            grid: rgb(0x22_28_31),
            ink: rgb(0xe8_e6_e1),
            middle: rgb(0xa9_b0_ba),
            dim: rgb(0x88_91_9e),
            envelope: rgb(0x00_9e_73),
            envelope_text: rgb(0x1f_b5_89),
            dropout: rgb(0x56_b4_e9),
            dropout_text: rgb(0x56_b4_e9),
            near: rgb(0xe6_9f_00),
            near_text: rgb(0xe6_9f_00),
            over: rgb(0xd5_5e_00),
            over_text: rgb(0xf2_7a_24),
            dissipation: rgb(0xd5_5e_00),
            dissipation_text: rgb(0xf2_7a_24),
            winding: rgb(0xcc_79_a7),
            winding_text: rgb(0xd6_88_b3),
            readings: rgb(0xf0_e4_42),
            envelope_fill: rgba(0x00_9e_73, 46),
            near_fill: rgba(0xe6_9f_00, 24),
            over_fill: rgba(0xd5_5e_00, 26),
        }
    }

    /// The paper-white theme.
    pub(crate) const fn light() -> Self {
        Self {
            dark: false,
            ground: rgb(0xfa_f9_f6),
            panel: rgb(0xf1_ef_e9),
            card: rgb(0xff_ff_ff),
            open_card: rgb(0xff_ff_ff),
            chosen: rgb(0xe0_ed_f6),
            selected: rgb(0xd5_e8_f4),
            well: rgb(0xfa_f9_f6),
            line: rgb(0xd8_d4_ca),
            grid: rgb(0xe6_e3_db),
            ink: rgb(0x1d_21_26),
            middle: rgb(0x4d_54_5d),
            dim: rgb(0x5d_64_6d),
            envelope: rgb(0x00_7a_59),
            envelope_text: rgb(0x00_6a_4d),
            dropout: rgb(0x00_72_b2),
            dropout_text: rgb(0x00_63_9c),
            near: rgb(0xa8_6f_00),
            near_text: rgb(0x82_55_00),
            over: rgb(0x8f_2f_00),
            over_text: rgb(0x8f_2f_00),
            dissipation: rgb(0x8f_2f_00),
            dissipation_text: rgb(0x8f_2f_00),
            winding: rgb(0xa3_4f_81),
            winding_text: rgb(0x94_43_73),
            readings: rgb(0x8a_7f_00),
            envelope_fill: rgba(0x00_7a_59, 36),
            near_fill: rgba(0xa8_6f_00, 26),
            over_fill: rgba(0x8f_2f_00, 24),
        }
    }

    /// For paper: white ground, and inks so dark that each line stands out without its colour.
    pub(crate) const fn print() -> Self {
        let white = rgb(0xff_ff_ff);
        Self {
            dark: false,
            ground: white,
            panel: white,
            card: white,
            open_card: white,
            chosen: rgb(0xe0_ed_f6),
            selected: rgb(0xcf_e0_ee),
            well: white,
            line: rgb(0x80_80_80),
            grid: rgb(0xdd_dd_dd),
            ink: rgb(0x00_00_00),
            middle: rgb(0x30_30_30),
            dim: rgb(0x50_50_50),
            envelope: rgb(0x00_50_3a),
            envelope_text: rgb(0x00_48_34),
            dropout: rgb(0x00_4a_80),
            dropout_text: rgb(0x00_44_78),
            near: rgb(0x6e_48_00),
            near_text: rgb(0x5c_3c_00),
            over: rgb(0x8a_34_00),
            over_text: rgb(0x7a_2e_00),
            dissipation: rgb(0x8a_34_00),
            dissipation_text: rgb(0x7a_2e_00),
            winding: rgb(0x78_2c_5a),
            winding_text: rgb(0x6c_26_50),
            readings: rgb(0x40_3c_00),
            envelope_fill: rgba(0x00_7a_59, 28),
            near_fill: rgba(0xa8_6f_00, 14),
            over_fill: rgba(0xb8_4a_00, 20),
        }
    }

    /// The theme in which this context draws now.
    pub(crate) fn of(ctx: &egui::Context) -> Self {
        if ctx
            .data(|data| data.get_temp::<Printing>(Printing::id()))
            .is_some()
        {
            return Self::print();
        }
        match ctx.theme() {
            egui::Theme::Dark => Self::dark(),
            egui::Theme::Light => Self::light(),
        }
    }

    /// The mark of a use (actual / allowed): good, near from 90 % on, over above 100 %.
    pub(crate) fn use_mark(&self, ratio: f64) -> Color32 {
        if ratio > 1.0 {
            self.over
        } else if ratio >= NEAR {
            self.near
        } else {
            self.envelope
        }
    }

    /// The same for text.
    pub(crate) fn use_text(&self, ratio: f64) -> Color32 {
        if ratio > 1.0 {
            self.over_text
        } else if ratio >= NEAR {
            self.near_text
        } else {
            self.middle
        }
    }
}

/// A use from here on is drawn as near its limit; the filter stress zone begins there as well.
pub(crate) const NEAR: f64 = 0.9;

/// How much of what is under a name is covered by its ground, where it stands on lines, on hatch or on the margin map.
pub(crate) const PLATE: f32 = 0.94;

/// A share (0 to 1) as the toolkit wants it.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a share between 0 and 1 loses nothing that a screen shows"
)]
pub(crate) fn share(ratio: f64) -> f32 {
    ratio.clamp(0.0, 1.0) as f32
}

/// The upright face at this size.
pub(crate) fn font(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// The semi-bold face at this size. [`install`] must have run in the context.
pub(crate) fn strong_font(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(STRONG.into()))
}

/// The text with every number tied to its unit, so that no line breaks between them.
pub(crate) fn tied(text: &str) -> String {
    let mut tied = String::with_capacity(text.len());
    let mut before = ' ';
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let unit_follows = letters
            .peek()
            .is_some_and(|next| "VAWΩFHJ%mkMµ".contains(*next));
        if letter == ' ' && before.is_ascii_digit() && unit_follows {
            tied.push('\u{a0}');
        } else {
            tied.push(letter);
        }
        before = letter;
    }
    tied
}

/// A sentence as it stands by itself on the screen, with its full stop where it has more than one clause.
pub(crate) fn sentence(text: &str) -> String {
    tied(&crate::explain::sentence(text))
}

/// Puts fonts and both themes into a context; once, before the first frame.
pub(crate) fn install(ctx: &egui::Context) {
    ctx.set_fonts(fonts());
    for (which, theme) in [
        (egui::Theme::Dark, Theme::dark()),
        (egui::Theme::Light, Theme::light()),
    ] {
        ctx.style_mut_of(which, |style| dress(style, &theme));
    }
}

/// The frame of a question that stands in the window.
pub(crate) fn question(ctx: &egui::Context) -> egui::Frame {
    egui::Frame::popup(&ctx.global_style()).inner_margin(Margin::same(MARGIN))
}

/// Marks a context whose pictures go on paper.
#[derive(Debug, Clone, Copy, Default)]
struct Printing;

impl Printing {
    fn id() -> egui::Id {
        egui::Id::unique("printing")
    }
}

/// Makes a context draw for paper, whatever theme it had.
pub(crate) fn install_print(ctx: &egui::Context) {
    ctx.data_mut(|data| data.insert_temp(Printing::id(), Printing));
    ctx.style_mut_of(egui::Theme::Light, |style| dress(style, &Theme::print()));
    ctx.set_theme(egui::Theme::Light);
}

const STRONG: &str = "strong";

#[expect(
    clippy::cast_possible_truncation,
    reason = "each colour is one byte of the hexadecimal number"
)]
const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "each colour is one byte of the hexadecimal number"
)]
const fn rgba(hex: u32, alpha: u8) -> Color32 {
    Color32::from_rgba_unmultiplied_const((hex >> 16) as u8, (hex >> 8) as u8, hex as u8, alpha)
}

fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let mut add = |name: &str, bytes: &'static [u8]| {
        fonts
            .font_data
            .insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    };
    add(
        "inter",
        include_bytes!("../../assets/font/inter-regular-tabular.otf"),
    );
    add(
        "inter-semibold",
        include_bytes!("../../assets/font/inter-semibold-tabular.otf"),
    );
    let fallback = fonts
        .families
        .get(&FontFamily::Proportional)
        .cloned()
        .unwrap_or_default();
    let family = |first: &str| {
        std::iter::once(first.to_owned())
            .chain(fallback.iter().cloned())
            .collect::<Vec<_>>()
    };
    fonts
        .families
        .insert(FontFamily::Proportional, family("inter"));
    fonts
        .families
        .insert(FontFamily::Name(STRONG.into()), family("inter-semibold"));
    fonts
}

fn dress(style: &mut egui::Style, theme: &Theme) {
    style.text_styles = [
        (TextStyle::Small, font(SMALL)),
        (TextStyle::Body, font(BODY)),
        (TextStyle::Button, font(BODY)),
        (TextStyle::Heading, strong_font(HEADING)),
        (
            TextStyle::Monospace,
            FontId::new(BODY, FontFamily::Monospace),
        ),
    ]
    .into();
    let spacing = &mut style.spacing;
    spacing.item_spacing = egui::vec2(GAP, 6.0);
    spacing.button_padding = egui::vec2(8.0, 4.0);
    spacing.interact_size = egui::vec2(24.0, 24.0);
    spacing.slider_rail_height = 4.0;
    spacing.tooltip_width = 340.0;
    spacing.window_margin = Margin::same(MARGIN);
    spacing.menu_margin = Margin::same(6);
    spacing.scroll = egui::style::ScrollStyle::thin();
    dress_visuals(&mut style.visuals, theme);
}

fn dress_visuals(visuals: &mut egui::Visuals, theme: &Theme) {
    visuals.panel_fill = theme.panel;
    visuals.window_fill = theme.card;
    visuals.window_stroke = Stroke::new(1.0, theme.line);
    visuals.window_corner_radius = CornerRadius::same(RADIUS);
    visuals.menu_corner_radius = CornerRadius::same(RADIUS);
    visuals.extreme_bg_color = theme.well;
    visuals.text_edit_bg_color = Some(theme.well);
    visuals.faint_bg_color = theme.grid;
    visuals.code_bg_color = theme.well;
    visuals.weak_text_color = Some(theme.middle);
    visuals.hyperlink_color = theme.dropout_text;
    visuals.warn_fg_color = theme.near_text;
    visuals.error_fg_color = theme.over_text;
    // The toolkit writes letters that are selected in the colour of this stroke on this fill.
    visuals.selection.bg_fill = theme.selected;
    visuals.selection.stroke = Stroke::new(1.5, theme.dropout_text);
    // A cursor that blinks would draw the whole window twice a second for as long as a field waits.
    visuals.text_cursor.blink = false;
    visuals.slider_trailing_fill = true;
    visuals.handle_shape = egui::style::HandleShape::Circle;
    let widgets = &mut visuals.widgets;
    let corner = CornerRadius::same(6);
    for (state, fill, edge, ink) in [
        (
            &mut widgets.noninteractive,
            theme.panel,
            theme.line,
            theme.ink,
        ),
        (&mut widgets.inactive, theme.line, theme.line, theme.ink),
        (&mut widgets.hovered, theme.line, theme.middle, theme.ink),
        (&mut widgets.active, theme.line, theme.dropout, theme.ink),
        (&mut widgets.open, theme.open_card, theme.dropout, theme.ink),
    ] {
        state.bg_fill = fill;
        state.weak_bg_fill = if fill == theme.line { theme.card } else { fill };
        state.bg_stroke = Stroke::new(1.0, edge);
        state.fg_stroke = Stroke::new(1.0, ink);
        state.corner_radius = corner;
        state.expansion = 0.0;
    }
}

/// What is chosen in a row or list of choices: a faint ground, and text that can still be read on it.
pub(crate) fn choices(ui: &mut egui::Ui) {
    let theme = Theme::of(ui.ctx());
    let visuals = ui.visuals_mut();
    visuals.selection.bg_fill = theme.chosen;
    visuals.selection.stroke = Stroke::new(1.0, theme.ink);
}

/// The dash of a ghost's line, by its letter: four that are told apart without colour, and one for what has no letter.
pub(crate) fn ghost_dash(letter: Option<char>) -> &'static [[f32; 2]] {
    match letter {
        Some('a') => &[[5.0, 4.0]],
        Some('b') => &[[12.0, 4.0]],
        Some('c') => &[[2.0, 3.0]],
        Some('d') => &[[10.0, 3.0], [2.0, 3.0]],
        _ => &[[5.0, 2.0], [2.0, 2.0], [2.0, 2.0]],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance of an sRGB colour, WCAG 2.2.
    fn luminance(colour: Color32) -> f64 {
        let channel = |byte: u8| {
            let c = f64::from(byte) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(colour.r()) + 0.7152 * channel(colour.g()) + 0.0722 * channel(colour.b())
    }

    fn contrast(text: Color32, ground: Color32) -> f64 {
        let (a, b) = (luminance(text), luminance(ground));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn selected_letters_can_be_read_and_are_seen_to_be_selected() {
        for theme in [Theme::dark(), Theme::light(), Theme::print()] {
            let mut visuals = egui::Visuals::default();
            dress_visuals(&mut visuals, &theme);
            let (letters, behind) = (visuals.selection.stroke.color, visuals.selection.bg_fill);
            assert!(behind.is_opaque(), "what it is laid over is not known here");
            let found = contrast(letters, behind);
            assert!(found >= 4.5, "dark: {}: {found:.2}", theme.dark);
            let found = contrast(behind, theme.well);
            assert!(found >= 1.15, "dark: {}: {found:.2}", theme.dark);
        }
    }

    #[test]
    fn a_number_keeps_its_unit() {
        assert_eq!(
            tied("made for 300 V at 20 mA, 2 in series"),
            "made for 300\u{a0}V at 20\u{a0}mA, 2 in series"
        );
    }

    /// A colour laid over an opaque one, as the screen does it: in the bytes.
    fn over(top: Color32, ground: Color32) -> Color32 {
        let [r, g, b, a] = top.to_srgba_unmultiplied();
        let share = f64::from(a) / 255.0;
        let mix = |top: u8, ground: u8| {
            let byte = f64::from(top) * share + f64::from(ground) * (1.0 - share);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "between two bytes"
            )]
            let byte = byte.round() as u8;
            byte
        };
        Color32::from_rgb(mix(r, ground.r()), mix(g, ground.g()), mix(b, ground.b()))
    }

    /// What text stands on somewhere: name and colour of the ground, and which of the inks stand there.
    fn grounds(theme: &Theme) -> Vec<(&'static str, Color32, &'static [&'static str])> {
        const ALL: &[&str] = &[
            "ink",
            "middle",
            "dim",
            "envelope",
            "dropout",
            "near",
            "over",
            "dissipation",
            "winding",
        ];
        // No choice says anything in dim.
        const CHOSEN: &[&str] = &[
            "ink",
            "middle",
            "envelope",
            "dropout",
            "near",
            "over",
            "dissipation",
            "winding",
        ];
        let hatched = |fill: Color32, stroke: Color32| {
            over(stroke.gamma_multiply(0.5), over(fill, theme.ground))
        };
        let plate = |under: Color32| over(theme.ground.gamma_multiply(PLATE), under);
        let tinted = |fill: Color32, ground: Color32| over(fill, ground);
        vec![
            ("ground", theme.ground, ALL),
            ("panel", theme.panel, ALL),
            ("card", theme.card, ALL),
            ("open card", theme.open_card, ALL),
            ("chosen", theme.chosen, CHOSEN),
            ("well", theme.well, ALL),
            (
                "envelope in the plane",
                tinted(theme.envelope_fill, theme.ground),
                ALL,
            ),
            ("a name on a line", plate(theme.ink), ALL),
            (
                "a name on the stress zone",
                plate(hatched(theme.near_fill, theme.near)),
                ALL,
            ),
            (
                "a name over the filter's rating",
                plate(hatched(theme.over_fill, theme.over)),
                ALL,
            ),
            (
                "a name on the margin map",
                plate(over(theme.near.gamma_multiply(0.4), theme.ground)),
                ALL,
            ),
            (
                "a good verdict",
                tinted(theme.envelope_fill, theme.panel),
                &["envelope", "ink"],
            ),
            (
                "a near verdict",
                tinted(theme.near_fill, theme.panel),
                &["near", "ink", "middle"],
            ),
            (
                "a verdict over",
                tinted(theme.over_fill, theme.panel),
                &["over", "ink", "middle"],
            ),
        ]
    }

    /// WCAG 2.2, success criterion 1.4.3 (AA): contrast by relative luminance, at least 4.5 : 1 for text of these sizes. What is
    /// laid over something is blended first; a stale picture has faint lines, but its names are never faint.
    #[test]
    fn text_has_a_contrast_of_at_least_4_5_on_every_ground() {
        let mut too_low = Vec::new();
        for (which, theme) in [
            ("dark", Theme::dark()),
            ("light", Theme::light()),
            ("print", Theme::print()),
        ] {
            let inks = [
                ("ink", theme.ink),
                ("middle", theme.middle),
                ("dim", theme.dim),
                ("envelope", theme.envelope_text),
                ("dropout", theme.dropout_text),
                ("near", theme.near_text),
                ("over", theme.over_text),
                ("dissipation", theme.dissipation_text),
                ("winding", theme.winding_text),
            ];
            for (place, ground, stand_there) in grounds(&theme) {
                for (name, ink) in inks {
                    let found = contrast(ink, ground);
                    if stand_there.contains(&name) && found < 4.5 {
                        too_low.push(format!("{which}: {name} on {place}: {found:.2}"));
                    }
                }
            }
        }
        assert!(too_low.is_empty(), "{too_low:#?}");
    }
}
