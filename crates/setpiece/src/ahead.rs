//! What was made ahead of a decision, so that nobody is kept from the picture while it is made.

use std::any::Any;
use std::collections::BTreeMap;

/// What a rehearsal of a decision made from files, for the decision itself to take.
#[derive(Default)]
pub struct Ahead(BTreeMap<String, Box<dyn Any + Send>>);

impl Ahead {
    /// What was made from just this, once.
    pub(crate) fn take<T: 'static>(&mut self, from: &str) -> Option<T> {
        self.0.remove(from).and_then(|made| made.downcast().ok()).map(|made| *made)
    }

    pub(crate) fn lay<T: Send + 'static>(&mut self, from: &str, made: T) {
        self.0.insert(from.to_owned(), Box::new(made));
    }
}

#[cfg(test)]
mod tests {
    use super::Ahead;

    #[test]
    fn what_was_made_is_taken_once_and_for_what_it_was_made_from() {
        let mut ahead = Ahead::default();
        ahead.lay("a shot", 3_u32);
        assert_eq!(ahead.take::<u32>("another shot"), None);
        assert_eq!(ahead.take::<u32>("a shot"), Some(3));
        assert_eq!(ahead.take::<u32>("a shot"), None);
    }
}
