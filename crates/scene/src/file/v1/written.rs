//! How values of the model become values that are written, and back. The written form is stated apart from the
//! model, so that the file stays as it is when the model moves.

use std::collections::{BTreeMap, BTreeSet};

/// A value of the model with its written form. What is read may still be out of the model's range; that is asked afterwards,
/// by the same rules as for an edit.
pub(super) trait Written: Sized {
    type Form;
    fn write(&self) -> Self::Form;
    fn read(form: Self::Form) -> Self;
}

/// A field that may be left out of the file because it holds what its absence means. Compared by bits: a
/// negative zero is written.
pub(super) trait LeftOut {
    fn is_left_out(&self) -> bool;
}

impl<T> LeftOut for Option<T> {
    fn is_left_out(&self) -> bool {
        self.is_none()
    }
}

impl<T> LeftOut for Vec<T> {
    fn is_left_out(&self) -> bool {
        self.is_empty()
    }
}

impl LeftOut for f64 {
    fn is_left_out(&self) -> bool {
        self.to_bits() == 0
    }
}

impl LeftOut for u64 {
    fn is_left_out(&self) -> bool {
        *self == 0
    }
}

impl LeftOut for bool {
    fn is_left_out(&self) -> bool {
        !*self
    }
}

impl LeftOut for String {
    fn is_left_out(&self) -> bool {
        self.is_empty()
    }
}

/// Written as it is.
macro_rules! as_it_is {
    ($($t:ty),+) => {$(
        impl Written for $t {
            type Form = Self;
            fn write(&self) -> Self { self.clone() }
            fn read(form: Self) -> Self { form }
        }
    )+};
}

as_it_is!(f64, u32, u64, bool, String);

impl<T: Written> Written for Option<T> {
    type Form = Option<T::Form>;
    fn write(&self) -> Self::Form {
        self.as_ref().map(T::write)
    }
    fn read(form: Self::Form) -> Self {
        form.map(T::read)
    }
}

impl<T: Written> Written for Vec<T> {
    type Form = Vec<T::Form>;
    fn write(&self) -> Self::Form {
        self.iter().map(T::write).collect()
    }
    fn read(form: Self::Form) -> Self {
        form.into_iter().map(T::read).collect()
    }
}

impl<T: Written> Written for Box<T> {
    type Form = Box<T::Form>;
    fn write(&self) -> Self::Form {
        Box::new(T::write(self))
    }
    fn read(form: Self::Form) -> Self {
        Self::new(T::read(*form))
    }
}

impl<T: Written + Ord> Written for BTreeSet<T> {
    type Form = Vec<T::Form>;
    fn write(&self) -> Self::Form {
        self.iter().map(T::write).collect()
    }
    fn read(form: Self::Form) -> Self {
        form.into_iter().map(T::read).collect()
    }
}

impl<K: Written + Ord, T: Written> Written for BTreeMap<K, T>
where
    K::Form: Ord,
{
    type Form = super::keyed::Keyed<K::Form, T::Form>;
    fn write(&self) -> Self::Form {
        super::keyed::Keyed(self.iter().map(|(k, v)| (k.write(), v.write())).collect())
    }
    fn read(form: Self::Form) -> Self {
        form.0.into_iter().map(|(k, v)| (K::read(k), T::read(v))).collect()
    }
}

impl<T: Written, const N: usize> Written for [T; N] {
    type Form = [T::Form; N];
    fn write(&self) -> Self::Form {
        std::array::from_fn(|i| self[i].write())
    }
    fn read(form: Self::Form) -> Self {
        form.map(T::read)
    }
}

impl<A: Written, B: Written> Written for (A, B) {
    type Form = (A::Form, B::Form);
    fn write(&self) -> Self::Form {
        (self.0.write(), self.1.write())
    }
    fn read(form: Self::Form) -> Self {
        (A::read(form.0), B::read(form.1))
    }
}

/// A structure of the model and its written form. Fields after `else` are left out of the file where they hold
/// what their absence means.
macro_rules! written_struct {
    (
        $(#[$doc:meta])* $form:ident = $model:ty {
            $( $(#[$fdoc:meta])* $f:ident : $t:ty ),* $(,)?
        }
        $( else { $( $(#[$odoc:meta])* $o:ident : $ot:ty ),* $(,)? } )?
    ) => {
        #[derive(serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        #[serde(deny_unknown_fields, remote = "Self")]
        $(#[$doc])*
        pub(super) struct $form {
            $( $(#[$fdoc])* pub(super) $f: <$t as Written>::Form, )*
            $( $(
                $(#[$odoc])*
                #[serde(default, skip_serializing_if = "LeftOut::is_left_out")]
                pub(super) $o: <$ot as Written>::Form,
            )* )?
        }

        super::object::only_as_object!($form);

        impl Written for $model {
            type Form = $form;
            fn write(&self) -> $form {
                $form { $( $f: Written::write(&self.$f), )* $( $( $o: Written::write(&self.$o), )* )? }
            }
            fn read(form: $form) -> Self {
                Self { $( $f: Written::read(form.$f), )* $( $( $o: Written::read(form.$o), )* )? }
            }
        }
    };
}

/// A choice of the model and its written form: `"plain"`, or `{ "tag": what it holds }`.
macro_rules! written_enum {
    (
        $(#[$doc:meta])* $form:ident = $model:ident {
            $(
                $(#[$vdoc:meta])*
                $v:ident $( ( $b:ident : $t:ty ) )? $( { $( $(#[$fdoc:meta])* $f:ident : $ft:ty ),* $(,)? } )?
            ),* $(,)?
        }
    ) => {
        #[derive(serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        #[serde(rename_all = "snake_case", deny_unknown_fields)]
        $(#[$doc])*
        pub(super) enum $form {
            $(
                $(#[$vdoc])*
                $v $( ( <$t as Written>::Form ) )? $( { $( $(#[$fdoc])* $f: <$ft as Written>::Form ),* } )?
            ),*
        }

        impl Written for $model {
            type Form = $form;
            fn write(&self) -> $form {
                match self {
                    $( $model::$v $( ( $b ) )? $( { $( $f ),* } )? =>
                        $form::$v $( ( Written::write($b) ) )? $( { $( $f: Written::write($f) ),* } )? ),*
                }
            }
            fn read(form: $form) -> Self {
                match form {
                    $( $form::$v $( ( $b ) )? $( { $( $f ),* } )? =>
                        $model::$v $( ( Written::read($b) ) )? $( { $( $f: Written::read($f) ),* } )? ),*
                }
            }
        }
    };
}

pub(super) use {written_enum, written_struct};
