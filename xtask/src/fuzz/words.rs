//! Words for the engine to change pictures' files with, taken from their schema.

use serde_json::Value;
use std::collections::BTreeSet;

/// A list in the engine's form: names of fields and the values that stand in for a kind.
pub(super) fn of_schema(schema: &str) -> String {
    let mut words = BTreeSet::new();
    if let Ok(schema) = serde_json::from_str(schema) {
        collect(&schema, &mut words);
    }
    let quoted = |w: &String| format!("\"\\\"{}\\\"\"\n", w.replace('\\', "\\\\").replace('"', "\\\""));
    words.iter().map(quoted).collect()
}

fn collect(value: &Value, words: &mut BTreeSet<String>) {
    match value {
        Value::Object(fields) => {
            for (name, inner) in fields {
                match (name.as_str(), inner) {
                    ("properties", Value::Object(named)) => words.extend(named.keys().cloned()),
                    ("const", Value::String(word)) => drop(words.insert(word.clone())),
                    ("enum", Value::Array(all)) => {
                        words.extend(all.iter().filter_map(Value::as_str).map(str::to_owned));
                    }
                    _ => {}
                }
                collect(inner, words);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| collect(item, words)),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn words_of_the_schema_are_found() {
        let words = super::of_schema(&scene::file::schema());
        for word in ["setpiece_picture", "rec2020", "pieces", "mark"] {
            assert!(words.contains(&format!("\"\\\"{word}\\\"\"\n")), "{word}");
        }
    }
}
