//! Cash flow: what each year brings or takes, and the balance with and without interest.

use super::months::{LEFT, scale};
use super::style::{
    At, Axis, BACKUP, BODY, COLLECTOR, Dash, INK, MARGIN, MUTED, SMALL, SUN, Sheet, TANK_MIDDLE, WIDTH, Words,
};
use super::units::money;
use crate::job::quantity::rounded;
use crate::money::{Currency, ESTIMATE, Outlook};

/// Right edge of the years; the grid lines of the months end further left.
const RIGHT: f64 = WIDTH - 78.0;

/// Years beyond which not every one is named.
const MOST_NAMED: usize = 22;

/// Bars of each year's sum with lines of the balance, as an SVG.
pub fn cash_flow(name: &str, currency: Currency, outlook: &Outlook) -> String {
    let years = &outlook.years;
    let last = years.len() - 1;
    let show = |sum: f64| money(currency, sum, 0);
    let back = match outlook.payback_year {
        Some(year) => format!("paid back for good in year {year}"),
        None => format!("not paid back within {last} years"),
    };
    let interest = format!("{}%", rounded(100.0 * outlook.discount_frac));
    let ends = years.last().copied().unwrap_or_default();
    let words = Words {
        title: "Money over the years",
        name,
        subtitle: format!(
            "{} at the start; {back}; net present value {} at {interest} interest",
            show(outlook.paid_at_start),
            show(outlook.net_present_value)
        ),
        description: format!(
            "Bars for the start and {last} years, lines for the balance. {} is paid at the start; {back}. At the end the \
             balance is {} without interest and {} with {interest} interest. {ESTIMATE}.",
            show(outlook.paid_at_start),
            show(ends.balance),
            show(ends.discounted_balance),
        ),
    };
    Sheet::picture(430.0, &words, |sheet| {
        let sums = || years.iter().flat_map(|year| [year.net, year.balance, year.discounted_balance]);
        let (low, high) = (sums().fold(0.0, f64::min), sums().fold(0.0, f64::max).max(1.0));
        let (axis, ticks) = Axis::round(low, high, 7, (352.0, 98.0));
        scale(sheet, &axis, &ticks, currency.symbol());
        let width = (RIGHT - LEFT) / years.len() as f64;
        let middle = |i: usize| LEFT + (i as f64 + 0.5) * width;
        let zero = axis.at(0.0);
        for (i, year) in years.iter().enumerate() {
            let color = if year.net < 0.0 { BACKUP } else { SUN };
            let half = (0.35 * width).min(14.0);
            sheet.fill((middle(i) - half, zero), (middle(i) + half, axis.at(year.net)), color);
        }
        let line = |value: fn(&crate::money::CashYear) -> f64| -> Vec<(f64, f64)> {
            years.iter().enumerate().map(|(i, year)| (middle(i), axis.at(value(year)))).collect()
        };
        sheet.line(&line(|year| year.discounted_balance), TANK_MIDDLE, 2.0, Dash::Broken(6.0, 4.0));
        sheet.line(&line(|year| year.balance), COLLECTOR, 2.0, Dash::Solid);
        // The ends of the lines, apart enough to be read.
        let (plain, with_interest) = (axis.at(ends.balance), axis.at(ends.discounted_balance));
        let apart = (0.5 * (15.0 - (plain - with_interest).abs())).max(0.0)
            * if plain < with_interest { -1.0 } else { 1.0 };
        sheet.text((RIGHT + 6.0, plain + apart), &show(ends.balance), SMALL, COLLECTOR, At::Left);
        let place = (RIGHT + 6.0, with_interest - apart);
        sheet.text(place, &show(ends.discounted_balance), SMALL, TANK_MIDDLE, At::Left);
        let every = if last <= MOST_NAMED { 1 } else { 5 };
        for i in (0..years.len()).step_by(every) {
            let label = if i == 0 { "start".to_owned() } else { i.to_string() };
            sheet.text((middle(i), 368.0), &label, SMALL, MUTED, At::Center);
        }
        sheet.text((WIDTH - MARGIN, 368.0), "Year", SMALL, MUTED, At::Right);
        let mut x = LEFT;
        for (color, words) in [(SUN, "brings in the year"), (BACKUP, "takes in the year")] {
            sheet.fill((x, 390.0), (x + 11.0, 401.0), color);
            sheet.text((x + 17.0, 395.5), words, BODY, INK, At::Left);
            x += 165.0;
        }
        let with_interest = format!("with {interest} interest");
        for (color, dash, words) in [
            (COLLECTOR, Dash::Solid, "balance"),
            (TANK_MIDDLE, Dash::Broken(6.0, 4.0), with_interest.as_str()),
        ] {
            sheet.line(&[(x, 395.5), (x + 26.0, 395.5)], color, 2.0, dash);
            sheet.text((x + 32.0, 395.5), words, BODY, INK, At::Left);
            x += 110.0;
        }
        sheet.text((LEFT, 416.0), ESTIMATE, SMALL, MUTED, At::Left);
    })
}
