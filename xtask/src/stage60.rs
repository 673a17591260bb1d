use crate::error::Error; pub(crate) fn run(_: &[String]) -> Result<(), Error> { Err(Error::new("to come")) }
