//! TEMP
use super::super::Site;
use std::f64::consts::PI;
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct HourAbove {
    pub(super) horizontal_w_m2: f64,
    pub(super) horizontal_share: f64,
    pub(super) sun_frac: f64,
    pub(super) hour_angle_cos: f64,
    pub(super) clear_w_m2: f64,
    pub(super) clear_dni_w_m2: f64,
}
pub(super) struct Sky { pub(super) hours: Vec<HourAbove>, pub(super) sunset_rad: Vec<f64> }
impl Sky {
    pub(super) fn new(site: &Site) -> Self {
        let p = site.latitude_deg.to_radians();
        let mut hours = vec![]; let mut sunset_rad = vec![];
        for n in 0..365 {
            let g = 2.0*PI*n as f64/365.0;
            let e0=1.00011+0.034221*g.cos()+0.00128*g.sin()+0.000719*(2.0*g).cos()+0.000077*(2.0*g).sin();
            let d=0.006918-0.399912*g.cos()+0.070257*g.sin()-0.006758*(2.0*g).cos()+0.000907*(2.0*g).sin()-0.002697*(3.0*g).cos()+0.00148*(3.0*g).sin();
            let eot=229.18*(0.000075+0.001868*g.cos()-0.032077*g.sin()-0.014615*(2.0*g).cos()-0.04089*(2.0*g).sin());
            sunset_rad.push((-p.tan()*d.tan()).clamp(-1.0,1.0).acos());
            for h in 0..24 {
                let mut a = HourAbove::default();
                for q in 0..4 {
                    let t = h as f64 + 0.125+0.25*q as f64 + site.longitude_deg/15.0 - site.utc_offset_h + eot/60.0;
                    let w = (t-12.0)*PI/12.0;
                    a.hour_angle_cos += 0.25*w.cos();
                    let s = p.sin()*d.sin()+p.cos()*d.cos()*w.cos();
                    if s>0.0 { a.horizontal_share += 0.25*s; a.sun_frac+=0.25;
                      a.clear_w_m2 += 0.25*1098.0*s*(-0.057/s).exp()*1.0; a.clear_dni_w_m2 += 0.25*1361.0*e0*0.8; }
                }
                a.horizontal_w_m2 = a.horizontal_share*1361.0*e0;
                hours.push(a);
            }
        }
        Self { hours, sunset_rad }
    }
    pub(super) fn daily_wh_m2(&self) -> Vec<f64> { self.hours.chunks(24).map(|d| d.iter().map(|h| h.horizontal_w_m2).sum()).collect() }
}
pub(super) mod split { pub(crate) fn erbs_diffuse_frac(k: f64) -> f64 { if k<=0.22 {1.0-0.09*k} else if k<=0.8 {0.9511-0.1604*k+4.388*k*k-16.638*k*k*k+12.336*k*k*k*k} else {0.165} } }
