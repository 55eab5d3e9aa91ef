//! PNG from our own SVG, with the font inside the program: the same picture on any machine.

use std::sync::{Arc, OnceLock};

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};

/// DejaVu Sans cut down to Latin, Greek, arrows, the euro and a few signs; its license lies beside it.
const FONT: &[u8] = include_bytes!("font/DejaVuSans-subset.ttf");

fn fonts() -> Arc<fontdb::Database> {
    static FONTS: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    FONTS
        .get_or_init(|| {
            let mut fonts = fontdb::Database::new();
            fonts.load_font_data(FONT.to_vec());
            fonts.set_sans_serif_family("DejaVu Sans");
            Arc::new(fonts)
        })
        .clone()
}

/// A picture of this module as PNG, `scale` pixels to a point.
///
/// # Panics
///
/// If `svg` is not a picture made by this module, or `scale` is not positive.
pub fn png(svg: &str, scale: f32) -> Vec<u8> {
    let options = Options { fontdb: fonts(), ..Options::default() };
    let tree = Tree::from_str(svg, &options).expect("our own SVG can be read");
    let size = tree.size().to_int_size().scale_by(scale).expect("a positive scale");
    let mut pixels = Pixmap::new(size.width(), size.height()).expect("a picture has a size");
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
    pixels.encode_png().expect("encoding in memory")
}
