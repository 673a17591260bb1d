//! The demo picture, put together from its parts by the edits that an artist would make.
