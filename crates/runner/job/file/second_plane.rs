//! Collectors of the same kind on a second plane, side by side with the first: `[roof.second_plane]`.

use thermal_network::spec::{CollectorSpec, SecondFieldSpec};

use super::collectors::Collectors;
use super::house::azimuth;
use super::kind::Word;
use super::section::Section;
use crate::job::Aspect;
use crate::job::quantity::{Kind, rounded};
use crate::problem::{Problem, Severity};

/// The second field and where it looks.
pub(super) struct SecondPlane {
    pub field: SecondFieldSpec,
    tilt_deg: f64,
    azimuth_deg: f64,
}

impl SecondPlane {
    /// Sky, ground, snow and horizon are those of the first plane; its month-by-hour shade is not.
    pub(super) fn aspect(&self, first: &Aspect) -> Aspect {
        Aspect { tilt_deg: self.tilt_deg, azimuth_deg: self.azimuth_deg, shading_frac: None, ..first.clone() }
    }
}

pub(super) fn read(root: &Section<'_>, collectors: &Collectors, word: Word) -> Option<SecondPlane> {
    let roof = root.section("roof");
    let section = roof.section("second_plane");
    if !section.is_given() {
        return None;
    }
    if word == Word::Batch {
        let message = "a batch collector has no second plane: its tank is the collector";
        let problem = Problem::new(Severity::Error, message).label("two planes");
        roof.report("second_plane", problem.help("give each plane its own job"));
    }
    let arrangement = collectors.field.arrangement;
    let first = f64::from(arrangement.in_series * arrangement.in_parallel);
    let count = section
        .ask("collectors", &[Kind::Count])
        .possible("1", "60")
        .or("1", "one on the second plane")
        .round();
    let tilt_rad = section
        .ask("tilt", &[Kind::Angle])
        .possible("0 deg", "90 deg")
        .usual("0 deg", "75 deg")
        .or("6/12", "a common roof pitch in the US (common practice)");
    let first_spec = collectors.spec;
    let area_m2 = first_spec.area_m2 / first * count;
    let share = count / (first + count);
    section.note(
        "flow_share",
        format!("{} % of the loop's flow", rounded(share * 100.0)),
        Some((share, "")),
        Some("both planes balanced: the same flow through every collector (common practice)"),
    );
    Some(SecondPlane {
        field: SecondFieldSpec { collector: CollectorSpec { area_m2, ..first_spec }, flow_frac: share },
        tilt_deg: tilt_rad.to_degrees(),
        azimuth_deg: azimuth(&section),
    })
}
