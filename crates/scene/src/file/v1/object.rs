//! Structures are read from objects alone. What serde derives would also take a list for the fields in their order:
//! a form that no schema shows, and in which numbers change places unnoticed.

use serde::de::{Deserializer, Visitor};
use serde::forward_to_deserialize_any;

/// Asks for an object where a structure is wanted.
pub(super) struct ObjectOnly<D>(pub(super) D);

impl<'de, D: Deserializer<'de>> Deserializer<'de> for ObjectOnly<D> {
    type Error = D::Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_map(visitor)
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit unit_struct
        newtype_struct seq tuple tuple_struct map struct enum identifier ignored_any
    }
}

/// Makes a structure derived with `remote = "Self"` one that is written as derived and read from objects alone.
macro_rules! only_as_object {
    ($form:ident) => {
        impl serde::Serialize for $form {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                $form::serialize(self, serializer)
            }
        }

        impl<'de> serde::Deserialize<'de> for $form {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                $form::deserialize(super::object::ObjectOnly(deserializer))
            }
        }
    };
}

pub(super) use only_as_object;
