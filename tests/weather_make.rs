//! TEMP
use suncask::weather::make::*;
use suncask::weather::*;
fn tmy(f: &str) -> WeatherYear {
    let t = std::fs::read_to_string(format!("/work/shared/weather/{f}")).unwrap();
    let mut l = t.lines();
    let h: Vec<String> = l.next().unwrap().split(',').map(|s| s.replace('"', "")).collect();
    let n: Vec<&str> = l.next().unwrap().split(',').collect();
    let rows: Vec<Vec<&str>> = l.map(|r| r.split(',').collect()).collect();
    let col = |name: &str| -> Vec<f64> { let i = n.iter().position(|x| *x == name).unwrap(); rows.iter().map(|r| r[i].parse().unwrap()).collect() };
    WeatherYear { site: Site { name: h[1].clone(), utc_offset_h: h[3].parse().unwrap(), latitude_deg: h[4].parse().unwrap(), longitude_deg: h[5].parse().unwrap(), elevation_m: h[6].parse().unwrap() },
        layout: Layout::Tmy3, source: f.into(), made: false, interval_s: 3600, first_start_s: 0.0,
        ghi_w_m2: col("GHI (W/m^2)"), dni_w_m2: col("DNI (W/m^2)"), dhi_w_m2: col("DHI (W/m^2)"), air_c: col("Dry-bulb (C)"), wind_m_s: col("Wspd (m/s)"), dew_point_c: col("Dew-point (C)"), warnings: vec![] }
}
const D: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
fn monthly(v: &[f64]) -> [f64; 12] { let mut s = 0; std::array::from_fn(|m| { let n = D[m] * 24; let x = v[s..s + n].iter().sum::<f64>() / n as f64; s += n; x }) }
fn sd(v: &[f64]) -> f64 { let m = v.iter().sum::<f64>() / v.len() as f64; (v.iter().map(|x| (x - m) * (x - m)).sum::<f64>() / v.len() as f64).sqrt() }
fn hist(v:&[f64])->String{ let mut c=[0;13]; for x in v { if *x>0.0 {c[((*x/100.0) as usize).min(12)]+=1;} } format!("{c:?}") }
#[test]
fn show() {
    for f in ["tmy3_723170_greensboro_nc.csv", "tmy3_723815_daggett_ca.csv", "tmy3_725846_truckee_ca.csv"] {
        let y = tmy(f);
        for seed in [1, 2, 3] {
            let t0=std::time::Instant::now();
            let spec = MakeSpec { name: "x".into(), latitude_deg: y.site.latitude_deg, longitude_deg: y.site.longitude_deg, elevation_m: y.site.elevation_m, utc_offset_h: Some(y.site.utc_offset_h), ghi_kwh_m2_day: monthly(&y.ghi_w_m2).map(|g| g * 0.024), air_c: monthly(&y.air_c), wind_m_s: Some(monthly(&y.wind_m_s)), seed };
            let m = make_year(&spec).unwrap();
            let dt=t0.elapsed();
            let s = |v: &[f64]| v.iter().sum::<f64>() / 1000.0;
            println!("{f} seed {seed} {dt:?} dist {:.3} | GHI {:.1} {:.1} DNI {:.0} {:.0} DHI {:.0} {:.0} maxghi {} {} maxdni {} {}", clearness_distance(&y, &m), s(&y.ghi_w_m2), s(&m.ghi_w_m2), s(&y.dni_w_m2), s(&m.dni_w_m2), s(&y.dhi_w_m2), s(&m.dhi_w_m2), y.ghi_w_m2.iter().fold(0.0f64, |a, b| a.max(*b)), m.ghi_w_m2.iter().fold(0.0f64, |a, b| a.max(*b)), y.dni_w_m2.iter().fold(0.0f64, |a, b| a.max(*b)), m.dni_w_m2.iter().fold(0.0f64, |a, b| a.max(*b)));
            println!("   T sd {:.2} {:.2} min {} {} max {} {} dew {:.1} {:.1} wind {:.2} {:.2} max {:?}", sd(&y.air_c), sd(&m.air_c), y.air_c.iter().fold(99.0f64, |a, b| a.min(*b)), m.air_c.iter().fold(99.0f64, |a, b| a.min(*b)), y.air_c.iter().fold(-99.0f64, |a, b| a.max(*b)), m.air_c.iter().fold(-99.0f64, |a, b| a.max(*b)), s(&y.dew_point_c)/8.76, s(&m.dew_point_c)/8.76, sd(&y.wind_m_s), sd(&m.wind_m_s), m.wind_m_s.iter().fold(0.0f64, |a, b| a.max(*b)));
            if seed == 1 { println!("  ghi {}\n      {}\n  dni {}\n      {}", hist(&y.ghi_w_m2), hist(&m.ghi_w_m2), hist(&y.dni_w_m2), hist(&m.dni_w_m2));
             for d in [180,181,182,183] { println!("   {:?} | {:?}", &m.ghi_w_m2[d*24+4..d*24+21], &m.dni_w_m2[d*24+4..d*24+21]); } }
        }
    }
}
