//! What other methods reached, read from the page beside the scenes; see [`References::read`] for what is understood.

use super::table::card_cell;
use std::collections::BTreeMap;

/// Cells by method, scene and place.
#[derive(Default)]
pub(super) struct References {
    /// In the order of the page.
    pub(super) methods: Vec<String>,
    cells: BTreeMap<(String, String, String), String>,
}

impl References {
    /// Of a Markdown page: tables whose heads are `scene | where | METHOD ...`; and, below a heading `## Cards, METHOD`, lines
    /// `SCENE: PASSES; whole picture N dB`, each with the cards' lines after it (name, errors of place, size and turn, blur, expected
    /// blur, root mean square).
    pub(super) fn read(page: &str) -> Self {
        let mut found = Self::default();
        let mut heads: Vec<String> = Vec::new();
        let (mut method, mut scene) = (None, None);
        for line in page.lines() {
            if let Some(heading) = line.strip_prefix("## ") {
                method =
                    heading.strip_prefix("Cards, ").map(|m| m.split(" (").next().unwrap_or(m).to_owned());
                scene = None;
            }
            if !line.starts_with('|') {
                heads.clear();
            }
            let cells: Vec<&str> = line.trim().trim_matches('|').split('|').map(str::trim).collect();
            match (cells.as_slice(), &method) {
                (["scene", "where", methods @ ..], _) => {
                    heads = methods.iter().map(|&m| m.to_owned()).collect()
                }
                ([scene, place, figures @ ..], _) if figures.len() == heads.len() => {
                    for (method, figure) in heads.iter().zip(figures).filter(|(_, f)| f.contains('/')) {
                        found.put(method, scene, place, (*figure).to_owned());
                    }
                }
                ([text], Some(method)) => found.card_line(text, method, &mut scene),
                _ => {}
            }
        }
        found
    }

    fn card_line(&mut self, text: &str, method: &str, scene: &mut Option<String>) {
        let summary =
            text.split_once(": ").and_then(|(s, rest)| Some((s, rest.split_once("; whole picture ")?)));
        if let Some((name, (passes, whole))) = summary {
            self.put(method, name, "cards", passes.to_owned());
            self.put(method, name, "whole", whole.trim_end_matches(" dB").to_owned());
            *scene = Some(name.to_owned());
        }
        let Some(scene) = scene else { return };
        let mut words = text.split_whitespace();
        let Some(card) = words.next() else { return };
        let numbers: Vec<f64> = words.map_while(|w| w.parse().ok()).collect();
        if let [place, size, turn, disc, expected, rms] = numbers[..] {
            self.put(method, scene, card, card_cell([place, size, turn], [disc, expected], rms));
        }
    }

    fn put(&mut self, method: &str, scene: &str, place: &str, cell: String) {
        if !self.methods.iter().any(|m| m == method) {
            self.methods.push(method.to_owned());
        }
        self.cells.insert((method.to_owned(), scene.to_owned(), place.to_owned()), cell);
    }

    /// What a method reached.
    pub(super) fn cell(&self, method: &str, scene: &str, place: &str) -> Option<&str> {
        self.cells.get(&(method.to_owned(), scene.to_owned(), place.to_owned())).map(String::as_str)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "\
# Others

| scene | where | plain | better |
| --- | --- | --- | --- |
| shore | whole | 22.94 / 0.7759 / 4.173 | 26.38 / 0.8276 / 2.754 |
| shore | ground | 23.59 / 0.8394 / 4.368 | |

| other | table |
| --- | --- |
| with a / b | c |

## Cards, better (also plain)

```
level: place and size 7/8, blur 8/8, worst place 0.52 px; whole picture 45.67 dB
   card         place px  size px turn deg  blur px expected  fit rms
   card-20m        0.036   -0.069    0.000     7.36     7.26     0.53
```

## What else

level: nothing; whole picture 1.00 dB
";

    #[test]
    fn a_page_is_read_as_far_as_it_is_understood() {
        let r = References::read(PAGE);
        assert_eq!(r.methods, ["plain", "better"]);
        let cells = [
            ("plain", "shore", "whole", Some("22.94 / 0.7759 / 4.173")),
            ("plain", "shore", "ground", Some("23.59 / 0.8394 / 4.368")),
            ("better", "shore", "ground", None),
            ("better", "level", "whole", Some("45.67")),
            ("better", "level", "cards", Some("place and size 7/8, blur 8/8, worst place 0.52 px")),
            ("better", "level", "card-20m", Some("0.036 / -0.069 / 0.000 / 7.36 of 7.26 / 0.53")),
        ];
        for (method, scene, place, cell) in cells {
            assert_eq!(r.cell(method, scene, place), cell, "{method} {scene} {place}");
        }
        assert_eq!(r.cells.len(), 6);
    }
}
