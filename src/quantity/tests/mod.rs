mod codes;
mod printing;
mod ranges;
mod reading;
mod refusing;
