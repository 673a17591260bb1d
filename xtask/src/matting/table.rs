//! The figures as two Markdown tables: means by method, and our pictures one by one.

use super::rows::Row;
use crate::markdown;

const HEAD: &str = "\
SAD, grad and conn in thousands, MSE in thousandths, over the pixels that the trimap leaves open, after Rhemann et al. 2009; 0 is best.
Of other methods, only pictures that are ours too. Seconds are the engine's own; those of other methods come from another run.
";

/// The methods that ours is held against: closed form, k nearest neighbours, shared sampling.
const RIVALS: [&str; 3] = ["cf", "knn", "sm"];
/// A picture stands out that is worse than the best of them by more than this factor...
const FACTOR: f64 = 1.5;
/// ... and by more than this SAD.
const MARGIN: f64 = 0.3;

/// Both tables of our rows, beside those of other methods.
pub(super) fn table(ours: &[Row], peers: &[Row]) -> String {
    let marked = ours.iter().filter(|row| best(row, peers).is_some_and(|best| stands_out(row, best))).count();
    format!(
        "{HEAD}\n{}\n{marked} of {} are above {FACTOR} times the best of {} and more than {MARGIN} above it.\n\n{}",
        markdown::table(&means(ours, peers)),
        ours.len(),
        RIVALS.join(", "),
        markdown::table(&pictures(ours, peers))
    )
}

fn cells<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(str::to_owned).to_vec()
}

fn means(ours: &[Row], peers: &[Row]) -> Vec<Vec<String>> {
    let heads = ["set", "trimap", "method", "SAD", "MSE", "grad", "conn", "median s", "pictures"];
    let mut out = vec![cells(heads)];
    for set in ours.chunk_by(|a, b| (&a.set, &a.trimap) == (&b.set, &b.trimap)) {
        let theirs = peers.iter().filter(|row| set.iter().any(|our| our.is_beside(row)));
        let rows: Vec<&Row> = set.iter().chain(theirs).collect();
        let mut methods: Vec<&str> = Vec::new();
        for row in &rows {
            if !methods.contains(&row.method.as_str()) {
                methods.push(&row.method);
            }
        }
        for method in methods {
            let rows: Vec<&Row> = rows.iter().copied().filter(|row| row.method == method).collect();
            out.push(mean(&rows));
        }
    }
    out
}

/// The line of a method's rows, all of one set and trimap.
fn mean(rows: &[&Row]) -> Vec<String> {
    let mean = |of: fn(&Row) -> f64| rows.iter().map(|row| of(row)).sum::<f64>() / rows.len() as f64;
    let first = rows.first().map_or(["", "", ""], |row| [&row.set, &row.trimap, &row.method]);
    let mut line = cells(first);
    line.push(format!("{:.3}", mean(|row| row.figures.sad)));
    line.push(format!("{:.3}", mean(|row| row.figures.mse * 1000.0)));
    line.push(format!("{:.3}", mean(|row| row.figures.grad)));
    line.push(format!("{:.3}", mean(|row| row.figures.conn)));
    let seconds = median(rows.iter().filter_map(|row| row.seconds).collect());
    line.push(seconds.map_or_else(String::new, |s| format!("{s:.2}")));
    line.push(rows.len().to_string());
    line
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let above = *values.get(values.len() / 2)?;
    let below = *values.get((values.len() - 1) / 2)?;
    Some((below + above) / 2.0)
}

fn pictures(ours: &[Row], peers: &[Row]) -> Vec<Vec<String>> {
    let heads =
        ["set", "trimap", "picture", "SAD", "best other", "ratio", "mark", "MSE", "grad", "conn", "s"];
    let mut out = vec![cells(heads)];
    for row in ours {
        let mut line = cells([&row.set, &row.trimap, &row.name]);
        line.push(format!("{:.3}", row.figures.sad));
        match best(row, peers) {
            None => line.extend(cells(["", "", ""])),
            Some(best) => {
                line.push(format!("{} {:.3}", best.method, best.figures.sad));
                line.push(format!("{:.2}", row.figures.sad / best.figures.sad));
                line.push(if stands_out(row, best) { "above" } else { "" }.to_owned());
            }
        }
        line.push(format!("{:.3}", row.figures.mse * 1000.0));
        line.push(format!("{:.3}", row.figures.grad));
        line.push(format!("{:.3}", row.figures.conn));
        line.push(row.seconds.map_or_else(String::new, |s| format!("{s:.2}")));
        out.push(line);
    }
    out
}

/// The rival with the least SAD on the same picture; `None` where none has tried it.
fn best<'a>(ours: &Row, peers: &'a [Row]) -> Option<&'a Row> {
    let rivals = peers.iter().filter(|row| RIVALS.contains(&row.method.as_str()) && row.is_beside(ours));
    rivals.min_by(|a, b| a.figures.sad.total_cmp(&b.figures.sad))
}

fn stands_out(ours: &Row, best: &Row) -> bool {
    let (ours, best) = (ours.figures.sad, best.figures.sad);
    ours > FACTOR * best && ours - best > MARGIN
}

#[cfg(test)]
mod tests {
    use super::super::figures::Figures;
    use super::super::rows::OURS;
    use super::*;

    fn row(name: &str, method: &str, sad: f64, seconds: Option<f64>) -> Row {
        Row {
            set: "plants".into(),
            trimap: "narrow".into(),
            name: name.into(),
            method: method.into(),
            figures: Figures { sad, mse: sad / 1000.0, grad: 2.0 * sad, conn: sad },
            seconds,
        }
    }

    #[test]
    fn means_and_pictures() {
        let ours = [
            row("fern", OURS, 2.0, Some(1.0)),
            row("moss", OURS, 0.4, Some(2.0)),
            row("reed", OURS, 1.0, Some(9.0)),
        ];
        let peers = [
            row("fern", "cf", 1.25, Some(0.5)),
            row("fern", "knn", 1.5, None),
            row("fern", "baseline", 1.0, Some(0.0)),
            row("moss", "cf", 0.2, Some(1.5)),
            row("oak", "cf", 9.0, Some(1.0)),
        ];
        let made = table(&ours, &peers);
        assert_eq!(
            markdown::rows_of(&made),
            [
                "|set|trimap|method|SAD|MSE|grad|conn|median s|pictures|",
                "|plants|narrow|setpiece|1.133|1.133|2.267|1.133|2.00|3|",
                "|plants|narrow|cf|0.725|0.725|1.450|0.725|1.00|2|",
                "|plants|narrow|knn|1.500|1.500|3.000|1.500||1|",
                "|plants|narrow|baseline|1.000|1.000|2.000|1.000|0.00|1|",
                "|set|trimap|picture|SAD|best other|ratio|mark|MSE|grad|conn|s|",
                "|plants|narrow|fern|2.000|cf 1.250|1.60|above|2.000|4.000|2.000|1.00|",
                "|plants|narrow|moss|0.400|cf 0.200|2.00||0.400|0.800|0.400|2.00|",
                "|plants|narrow|reed|1.000||||1.000|2.000|1.000|9.00|",
            ]
        );
        assert!(made.contains("1 of 3 are above 1.5 times the best of cf, knn, sm"));
    }
}
