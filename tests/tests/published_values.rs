//! Library results against numbers printed elsewhere: standards, regulations, datasheets and worked examples.

mod published;
