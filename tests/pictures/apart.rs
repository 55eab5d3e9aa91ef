//! Colors stay apart: in gray print, and for those who do not see one of three primaries.
//!
//! Gray is the lightness L* of CIE 1976 from the luminance of ITU-R BT.709. Missing cones are those of F. Vienot, H. Brettel and
//! J. Mollon, Color Research and Application 24 (1999) 243-252 (long and middle) and of H. Brettel, F. Vienot and J. Mollon,
//! Journal of the Optical Society of America A 14 (1997) 2647-2655 (short), with their cone responses of linear RGB. Distances
//! are those of CIE 1976 L*a*b*, in which 2.3 is just noticed (M. Mahy, L. Van Eycken and A. Oosterlinck 1994, from memory).

use resvg::usvg::roxmltree::Document;

type Triple = [f64; 3];

/// Least difference of lightness of two fills that stand for different things.
const LEAST_LIGHTNESS: f64 = 10.0;
/// Their least distance where a primary is missing.
const LEAST_DISTANCE: f64 = 10.0;
/// Least difference of lightness from step to step of a scale.
const LEAST_STEP: f64 = 3.0;
/// Fills lighter than this are paper, or shades of it inside an outline.
const PAPER_FROM: f64 = 85.0;

/// Linear RGB to XYZ (IEC 61966-2-1).
const TO_XYZ: [Triple; 3] = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];
/// Linear RGB to long, middle and short cones (Vienot, Brettel and Mollon 1999).
const TO_CONES: [Triple; 3] =
    [[17.8824, 43.5161, 4.11935], [3.45565, 27.1554, 3.86714], [0.029_956_6, 0.184_309, 1.467_09]];
/// XYZ of light of 485 and 660 nm, which look the same without short cones (CIE 1931 standard observer).
const SEEN_ALIKE: [Triple; 2] = [[0.057_95, 0.1693, 0.6162], [0.1649, 0.061, 0.0]];

fn times(matrix: &[Triple; 3], v: Triple) -> Triple {
    matrix.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

fn cross(a: Triple, b: Triple) -> Triple {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn inverse(matrix: &[Triple; 3]) -> [Triple; 3] {
    let [a, b, c] = *matrix;
    let columns = [cross(b, c), cross(c, a), cross(a, b)];
    let determinant = a[0] * columns[0][0] + a[1] * columns[0][1] + a[2] * columns[0][2];
    std::array::from_fn(|row| std::array::from_fn(|column| columns[column][row] / determinant))
}

/// Linear RGB of `#rrggbb`.
fn linear(color: &str) -> Triple {
    std::array::from_fn(|i| {
        let byte = u8::from_str_radix(&color[1 + 2 * i..3 + 2 * i], 16).expect("a color");
        let v = f64::from(byte) / 255.0;
        if v <= 0.040_45 { v / 12.92 } else { libm::pow((v + 0.055) / 1.055, 2.4) }
    })
}

/// L*, a* and b* of a linear RGB, cut to what a screen shows.
fn lab(rgb: Triple) -> Triple {
    let white = times(&TO_XYZ, [1.0; 3]);
    let xyz = times(&TO_XYZ, rgb.map(|v| v.clamp(0.0, 1.0)));
    let f: Triple = std::array::from_fn(|i| {
        let t = xyz[i] / white[i];
        if t > 216.0 / 24_389.0 { libm::cbrt(t) } else { t * 841.0 / 108.0 + 4.0 / 29.0 }
    });
    [116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])]
}

/// What is missing: long, middle or short cones.
#[derive(Clone, Copy, Debug)]
enum Missing {
    Long,
    Middle,
    Short,
}

const ALL: [Missing; 3] = [Missing::Long, Missing::Middle, Missing::Short];

/// The color that looks like this one where cones are missing.
fn seen(rgb: Triple, missing: Missing) -> Triple {
    let [l, m, s] = times(&TO_CONES, rgb);
    let cones = match missing {
        Missing::Long => [2.023_44 * m - 2.525_81 * s, m, s],
        Missing::Middle => [l, 0.494_207 * l + 1.248_27 * s, s],
        Missing::Short => {
            // On the plane through black, white and the light that looks the same on this side of white.
            let white = times(&TO_CONES, [1.0; 3]);
            let side = usize::from(m / l < white[1] / white[0]);
            let light = times(&TO_CONES, times(&inverse(&TO_XYZ), SEEN_ALIKE[side]));
            let normal = cross(white, light);
            [l, m, -(normal[0] * l + normal[1] * m) / normal[2]]
        }
    };
    times(&inverse(&TO_CONES), cones)
}

fn distance(a: Triple, b: Triple) -> f64 {
    (0..3).map(|i| (a[i] - b[i]) * (a[i] - b[i])).sum::<f64>().sqrt()
}

/// Every color that fills a shape.
fn fills(picture: &Document<'_>) -> Vec<String> {
    let shapes = ["rect", "path", "polygon", "circle"];
    let mut found: Vec<String> = picture
        .descendants()
        .filter(|node| shapes.contains(&node.tag_name().name()))
        .filter_map(|node| node.attribute("fill"))
        .filter(|fill| fill.starts_with('#'))
        .map(str::to_lowercase)
        .collect();
    found.sort();
    found.dedup();
    found
}

/// Fills that stand for things differ in gray and to every eye.
pub(super) fn things(name: &str, picture: &Document<'_>) {
    let fills = fills(picture);
    for (i, a) in fills.iter().enumerate() {
        for b in &fills[..i] {
            let (rgb_a, rgb_b) = (linear(a), linear(b));
            let (light_a, light_b) = (lab(rgb_a)[0], lab(rgb_b)[0]);
            if light_a.min(light_b) > PAPER_FROM {
                continue;
            }
            let gray = (light_a - light_b).abs();
            assert!(gray >= LEAST_LIGHTNESS, "{name}: {a} and {b} are {gray:.1} apart in gray");
            for missing in ALL {
                let apart = distance(lab(seen(rgb_a, missing)), lab(seen(rgb_b, missing)));
                assert!(
                    apart >= LEAST_DISTANCE,
                    "{name}: {a} and {b} are {apart:.1} apart without {missing:?}"
                );
            }
        }
    }
}

/// Fills that are steps of a scale rise in lightness alike for every eye.
pub(super) fn scale(name: &str, picture: &Document<'_>) {
    let light = |color: &str| lab(linear(color))[0];
    let mut steps = fills(picture);
    // The paper is no step.
    steps.retain(|color| color != "#ffffff");
    steps.sort_by(|a, b| light(a).total_cmp(&light(b)));
    for pair in steps.windows(2) {
        let step = light(&pair[1]) - light(&pair[0]);
        assert!(step >= LEAST_STEP, "{name}: {pair:?} are {step:.1} apart in gray");
        for missing in ALL {
            let [low, high] = [&pair[0], &pair[1]].map(|color| lab(seen(linear(color), missing))[0]);
            assert!(high > low, "{name}: {pair:?} change places without {missing:?}");
        }
    }
}

#[test]
fn the_eyes_of_this_test_are_those_of_the_papers() {
    for missing in ALL {
        // White, black and gray look the same to all, as the papers have it (to the rounding of their coefficients).
        for gray in [0.0, 0.2, 1.0] {
            let back = seen([gray; 3], missing);
            assert!(back.iter().all(|v| (v - gray).abs() < 2e-3), "{missing:?}: {back:?}");
        }
    }
    // Red and green of a screen: far apart to most, close in hue where long or middle cones are missing.
    let hue = |rgb: Triple| lab(rgb)[1];
    let (red, green) = ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0]);
    assert!((hue(red) - hue(green)).abs() > 150.0);
    for missing in [Missing::Long, Missing::Middle] {
        assert!((hue(seen(red, missing)) - hue(seen(green, missing))).abs() < 20.0);
    }
    // L* of middle gray: luminance 0.184 is L* 50 (CIE 1976).
    assert!((lab([0.1842; 3])[0] - 50.0).abs() < 0.1);
}
