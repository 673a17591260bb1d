//! Things listed under their ids: JSON objects whose keys are the ids.

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::de::{Error as _, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::marker::PhantomData;
use std::str::FromStr;

/// Things under ids; an id that comes twice is refused, where a plain map would keep the last.
pub(super) struct Keyed<K, T>(pub(super) BTreeMap<K, T>);

/// What an id looks like as the key of an object.
pub(super) trait Key: Ord + fmt::Display + FromStr {
    /// As a regular expression of ECMA 262.
    const PATTERN: &'static str;
}

impl Key for u64 {
    const PATTERN: &'static str = "^(0|[1-9][0-9]{0,15})$";
}

impl<K, T> super::written::LeftOut for Keyed<K, T> {
    fn is_left_out(&self) -> bool {
        self.0.is_empty()
    }
}

impl<K, T> Default for Keyed<K, T> {
    fn default() -> Self {
        Self(BTreeMap::new())
    }
}

impl<K: Key, T: Serialize> Serialize for Keyed<K, T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(k, v)| (k.to_string(), v)))
    }
}

impl<'de, K: Key, T: Deserialize<'de>> Deserialize<'de> for Keyed<K, T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Things<K, T>(PhantomData<(K, T)>);

        impl<'de, K: Key, T: Deserialize<'de>> Visitor<'de> for Things<K, T> {
            type Value = Keyed<K, T>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object whose keys are ids")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Self::Value, A::Error> {
                let mut map = BTreeMap::new();
                while let Some(text) = access.next_key::<String>()? {
                    // The one way to write an id: else 7 and 07 would be two keys for one thing.
                    let key = text.parse::<K>().ok().filter(|key| key.to_string() == text);
                    let Some(key) = key else {
                        return Err(A::Error::custom(format!("{text:?} is not an id")));
                    };
                    let value = access.next_value()?;
                    if map.insert(key, value).is_some() {
                        return Err(A::Error::custom(format!("the id {text} is used twice")));
                    }
                }
                Ok(Keyed(map))
            }
        }

        deserializer.deserialize_map(Things(PhantomData))
    }
}

impl<K: Key, T: JsonSchema> JsonSchema for Keyed<K, T> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        format!("{}ById", T::schema_name()).into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let thing = generator.subschema_for::<T>();
        schemars::json_schema!({
            "type": "object",
            "propertyNames": { "pattern": K::PATTERN },
            "additionalProperties": thing,
        })
    }
}
