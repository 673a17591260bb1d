//! Figures of methods by picture: ours, and those that other methods reached.

use super::figures::Figures;
use crate::error::Error;

/// What our own method is called.
pub(super) const OURS: &str = "setpiece";

/// What a method made of a picture.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Row {
    pub(super) set: String,
    pub(super) trimap: String,
    pub(super) name: String,
    pub(super) method: String,
    pub(super) figures: Figures,
    pub(super) seconds: Option<f64>,
}

impl Row {
    /// Whether both are of the same picture with the same trimap.
    pub(super) fn is_beside(&self, other: &Self) -> bool {
        (&self.set, &self.trimap, &self.name) == (&other.set, &other.trimap, &other.name)
    }
}

/// Rows of a table of comma-separated values whose head names its columns; none of an empty page. Left out are methods with a
/// plus in their names: they estimate foregrounds, and have their alpha from another row.
pub(super) fn read(page: &str) -> Result<Vec<Row>, Error> {
    let mut lines = (1..).zip(page.lines());
    let Some((_, head)) = lines.next() else { return Ok(Vec::new()) };
    let heads: Vec<&str> = head.split(',').map(str::trim).collect();
    let mut rows = Vec::new();
    for (number, line) in lines.filter(|(_, line)| !line.trim().is_empty()) {
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        let wrong = |column: &str| Error::new(format!("peer-results.csv, line {number}: no {column}"));
        let cell = |column: &str| {
            let at = heads.iter().position(|head| *head == column);
            at.and_then(|at| cells.get(at)).copied().ok_or_else(|| wrong(column))
        };
        let figure = |column: &str| cell(column)?.parse::<f64>().map_err(|_| wrong(column));
        rows.push(Row {
            set: cell("set")?.to_owned(),
            trimap: cell("trimap")?.to_owned(),
            name: cell("name")?.to_owned(),
            method: cell("method")?.to_owned(),
            figures: Figures {
                sad: figure("sad")?,
                mse: figure("mse")?,
                grad: figure("grad")?,
                conn: figure("conn")?,
            },
            seconds: figure("seconds").ok(),
        });
    }
    rows.retain(|row| !row.method.contains('+'));
    Ok(rows)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "\
set,name,trimap,method,sad,mse,grad,conn,unknown,seconds,fg
plants,fern,narrow,cf,1.5,0.01,2,1.25,900,0.5,
plants,fern,narrow,cf+ml,1.5,0.01,2,1.25,900,0.5,7.1
plants,fern,narrow,sm,2.5,0.02,3,2,900,,
";

    #[test]
    fn columns_are_found_by_their_heads() {
        let rows = read(PAGE).unwrap();
        let figures = Figures { sad: 1.5, mse: 0.01, grad: 2.0, conn: 1.25 };
        assert_eq!(rows.len(), 2);
        assert_eq!(
            (rows[0].set.as_str(), rows[0].name.as_str(), rows[0].trimap.as_str(), rows[0].figures),
            ("plants", "fern", "narrow", figures)
        );
        assert_eq!((rows[0].seconds, rows[1].seconds, rows[1].method.as_str()), (Some(0.5), None, "sm"));
        assert!(rows[0].is_beside(&rows[1]));
        assert!(read("").unwrap().is_empty());
    }

    #[test]
    fn what_is_missing_is_told_with_its_line() {
        let page = "set,name,trimap,method,sad,mse,grad\na,b,c,cf,1,2,3\n";
        assert_eq!(read(page).unwrap_err().to_string(), "peer-results.csv, line 2: no conn");
        let page = PAGE.replace("1.5,0.01,2,1.25,900,0.5,\n", "much,0.01,2,1.25,900,0.5,\n");
        assert_eq!(read(&page).unwrap_err().to_string(), "peer-results.csv, line 2: no sad");
    }
}
