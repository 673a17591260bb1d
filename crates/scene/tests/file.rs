//! The written form: what is refused and how it is said, the committed schema, and an example that both the reader and
//! the schema accept.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use scene::file::{Kind, SCHEMA, from_file, from_line, from_saved, schema, to_file, to_saved};
use serde_json::Value;

const EXAMPLE: &str = include_str!("data/example.json");

fn example(change: impl FnOnce(&mut Value)) -> String {
    let mut value: Value = serde_json::from_str(EXAMPLE).unwrap();
    change(&mut value);
    value.to_string()
}

/// What kind of error, what, and where.
fn refusal(text: &str) -> (Kind, String, String) {
    let error = from_file(text).unwrap_err();
    assert!(!error.remedy().is_empty());
    (error.kind(), error.what().to_owned(), error.place().to_owned())
}

#[test]
fn the_example_reads_back_as_it_is() {
    let saved = from_saved(EXAMPLE).unwrap();
    assert_eq!(to_saved(&saved.scene, saved.applied), EXAMPLE);
    assert_eq!(saved.applied, 41);
    assert_eq!(saved.scene.pieces().len(), 3);
}

#[test]
fn the_committed_schema_is_fresh() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/formats/picture.schema.json");
    let committed = std::fs::read_to_string(path).unwrap();
    assert!(
        committed == schema(),
        "docs/formats/picture.schema.json is stale: run cargo run -p scene --example schema"
    );
}

#[test]
fn the_schema_accepts_the_example_and_refuses_what_the_reader_refuses() {
    let schema: Value = serde_json::from_str(&schema()).unwrap();
    let valid = |text: &str| judge(&schema, &schema, &serde_json::from_str(text).unwrap());
    assert_eq!(valid(EXAMPLE), Ok(()));
    let wrong: [fn(&mut Value); 9] = [
        |v| v["pieces"]["3"]["mark"] = serde_json::json!([1.0, 2.0]),
        |v| v["format"]["size"] = serde_json::json!([6000, 4000]),
        |v| v["haze"] = serde_json::json!([320.0, [0.3, 0.3, 0.3]]),
        |v| v["pieces"]["3"]["mark"]["q"] = 1.into(),
        |v| v["pieces"]["3"]["stance"] = "sitting".into(),
        |v| drop(v["pieces"]["3"].as_object_mut().unwrap().remove("mark")),
        |v| v["pieces"]["3"]["mark"]["x"] = "1".into(),
        |v| v["format"]["size"]["width"] = 0.into(),
        |v| v["toning"][0]["kind"]["glitter"] = 1.into(),
    ];
    for change in wrong {
        let text = example(change);
        assert!(valid(&text).is_err(), "{text}");
        assert!(from_file(&text).is_err(), "{text}");
    }
}

#[test]
fn what_is_wrong_is_named_with_its_path() {
    let (kind, what, place) = refusal(&example(|v| v["pieces"]["3"]["mark"]["q"] = 1.into()));
    assert_eq!(kind, Kind::Content);
    assert!(what.starts_with("unknown field `q`"), "{what}");
    assert!(place.starts_with("pieces.3.mark.q (line 1, column "), "{place}");

    let (_, what, place) = refusal(&example(|v| v["pieces"]["3"]["mark"]["z"] = 3e5.into()));
    assert_eq!((what.as_str(), place.as_str()), ("300000 m is out of range", "pieces.3.mark.z"));

    let (_, what, place) = refusal(&example(|v| v["pieces"]["3"]["cutout"] = 99.into()));
    assert_eq!((what.as_str(), place.as_str()), ("there is no cut-out 99 in the picture", "pieces.3.cutout"));

    let (_, what, place) = refusal(&example(|v| v["stage"]["camera"]["pitch"] = 95.into()));
    assert!(what.contains("camera pitch is 95"), "{what}");
    assert!(place.starts_with("stage.camera "), "{place}");

    let (_, what, place) = refusal(&example(|v| v["pieces"]["5"]["attached_to"] = 4.into()));
    assert_eq!((what.as_str(), place.as_str()), ("the piece would carry itself", "pieces.4.attached_to"));

    let (_, what, place) =
        refusal(&example(|v| v["takes"]["9"]["changes"][0]["change"]["change"]["mark"]["x"] = 1e9.into()));
    assert_eq!(
        (what.as_str(), place.as_str()),
        ("1000000000 m is out of range", "takes.9.changes[0].piece 3, mark.x")
    );

    let (_, what, _) = refusal(&example(|v| v["next_id"] = 4.into()));
    assert!(what.starts_with("4 is not greater than the id"), "{what}");

    let (_, what, _) = refusal(&EXAMPLE.replace("\"5\": {", "\"3\": {"));
    assert_eq!(what, "the id 3 is used twice");
    let (_, what, _) = refusal(&EXAMPLE.replace("\"5\": {", "\"05\": {"));
    assert_eq!(what, "\"05\" is not an id");
    let (_, what, _) = refusal(&EXAMPLE.replacen("\"name\":", "\"name\": \"twice\",\n  \"name\":", 1));
    assert_eq!(what, "duplicate field `name`");
}

#[test]
fn what_is_no_picture_is_told_apart() {
    assert_eq!(refusal("").0, Kind::NotJson);
    assert_eq!(refusal(&EXAMPLE[..EXAMPLE.len() / 2]).0, Kind::NotJson);
    assert_eq!(refusal(&format!("{EXAMPLE}x")).0, Kind::NotJson);
    assert_eq!(refusal("{}").0, Kind::NotAPicture);
    assert_eq!(refusal("[1]").0, Kind::NotAPicture);
    assert_eq!(refusal("1e999").0, Kind::NotJson);
    // A newer file is not read at all, whatever else is in it.
    let newer = format!("{{ \"setpiece_picture\": {}, \"levels\": 7 }}", SCHEMA + 1);
    let (kind, what, _) = refusal(&newer);
    assert_eq!(kind, Kind::Newer);
    assert!(what.starts_with("it was written by a newer Setpiece"), "{what}");
    assert_eq!(refusal("{ \"setpiece_picture\": 0 }").1, "there is no schema 0");
}

#[test]
fn deep_nesting_is_refused() {
    let deep = format!("{}1{}", "[".repeat(100_000), "]".repeat(100_000));
    assert_eq!(refusal(&deep).0, Kind::NotAPicture);
    let groups = format!("{}\"x\"{}", "{\"group\":[".repeat(100_000), "]}".repeat(100_000));
    assert_eq!(from_line(&groups).unwrap_err().kind(), Kind::NotJson);
    scene::fuzz_one(groups.as_bytes());
    scene::fuzz_one(deep.as_bytes());
}

/// Damaged in one place, the example is read or refused, and never stops the reader.
#[test]
fn damage_does_no_harm() {
    let bytes = EXAMPLE.as_bytes();
    for at in 0..bytes.len() {
        for new in [b'0', b'"', b'}', b'-', 0xff] {
            let mut damaged = bytes.to_vec();
            damaged[at] = new;
            if at % 97 == 0 {
                scene::fuzz_one(&damaged);
            } else {
                let _ = from_file(&String::from_utf8_lossy(&damaged));
            }
        }
    }
}

#[test]
fn floats_keep_their_bits() {
    for x in [0.1_f64, -0.0, 5e-324, 1.0 / 3.0, 99999.99999999999, -1.7976931348623157e-300] {
        let text = example(|v| v["pieces"]["3"]["mark"]["x"] = x.into());
        let scene = from_file(&text).unwrap();
        let again = from_file(&to_file(&scene)).unwrap();
        let read = again.pieces()[&scene::PieceId::from_number(3)].mark.x.get();
        assert_eq!(read.to_bits(), x.to_bits());
    }
}

/// Judges a value by the part of JSON Schema (draft 2020-12) that the schema uses; anything else in it is an error.
fn judge(root: &Value, schema: &Value, value: &Value) -> Result<(), String> {
    let Some(rules) = schema.as_object() else {
        return if schema == &Value::Bool(true) { Ok(()) } else { Err("nothing is allowed here".into()) };
    };
    let number = |v: &Value| v.as_f64().unwrap();
    for (keyword, rule) in rules {
        let fits = match keyword.as_str() {
            "$schema" | "$defs" | "title" | "description" | "default" | "format" => true,
            "$ref" => {
                let name = rule.as_str().unwrap().strip_prefix("#/$defs/").unwrap();
                judge(root, &root["$defs"][name], value)?;
                true
            }
            "type" => match rule {
                Value::Array(types) => types.iter().any(|t| is_a(t.as_str().unwrap(), value)),
                one => is_a(one.as_str().unwrap(), value),
            },
            "const" => rule == value,
            "enum" => rule.as_array().unwrap().contains(value),
            "minimum" => value.as_f64().is_none_or(|v| v >= number(rule)),
            "maximum" => value.as_f64().is_none_or(|v| v <= number(rule)),
            "minItems" => value.as_array().is_none_or(|v| v.len() as u64 >= rule.as_u64().unwrap()),
            "maxItems" => value.as_array().is_none_or(|v| v.len() as u64 <= rule.as_u64().unwrap()),
            // Told apart by length and alphabet alone: digests and ids.
            "pattern" => value.as_str().is_none_or(|v| v.bytes().all(|b| b.is_ascii_hexdigit())),
            "propertyNames" => keys(value).iter().all(|k| k.bytes().all(|b| b.is_ascii_hexdigit())),
            "required" => value
                .as_object()
                .is_none_or(|o| rule.as_array().unwrap().iter().all(|k| o.contains_key(k.as_str().unwrap()))),
            "properties" => {
                for (key, part) in rule.as_object().unwrap() {
                    if let Some(v) = value.get(key) {
                        judge(root, part, v).map_err(|e| format!("{key}.{e}"))?;
                    }
                }
                true
            }
            "additionalProperties" => {
                let known = rules.get("properties").map(keys).unwrap_or_default();
                for key in keys(value).into_iter().filter(|k| !known.contains(k)) {
                    judge(root, rule, &value[&key]).map_err(|e| format!("{key}.{e}"))?;
                }
                true
            }
            "items" => {
                let list = value.as_array().cloned().unwrap_or_default();
                list.iter().try_for_each(|v| judge(root, rule, v))?;
                true
            }
            "prefixItems" => {
                let list = value.as_array().cloned().unwrap_or_default();
                rule.as_array().unwrap().iter().zip(&list).try_for_each(|(r, v)| judge(root, r, v))?;
                true
            }
            "oneOf" => rule.as_array().unwrap().iter().filter(|r| judge(root, r, value).is_ok()).count() == 1,
            "anyOf" => rule.as_array().unwrap().iter().any(|r| judge(root, r, value).is_ok()),
            other => return Err(format!("the test does not know {other}")),
        };
        if !fits {
            return Err(format!("{keyword} {rule}: {value}"));
        }
    }
    Ok(())
}

fn keys(value: &Value) -> Vec<String> {
    value.as_object().map(|o| o.keys().cloned().collect()).unwrap_or_default()
}

fn is_a(name: &str, value: &Value) -> bool {
    match name {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        "number" => value.is_number(),
        "integer" => value.as_f64().is_some_and(|v| v.fract() == 0.0),
        other => panic!("no such type: {other}"),
    }
}
