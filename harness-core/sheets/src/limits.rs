//! How much one file may hold. Each limit is well above the largest list that anybody keeps by hand.

/// Largest file.
pub const FILE_BYTES: usize = 64 << 20;

/// Largest part of a workbook, unpacked: some kilobytes of packed blanks can hold gigabytes.
pub const PART_BYTES: u64 = 64 << 20;

/// Largest workbook, all its parts unpacked.
pub const BOOK_BYTES: u64 = 256 << 20;

/// Most cells that hold something.
pub const CELLS: usize = 2_000_000;

/// Most bytes of text in all cells, those of merged regions counted where they are repeated.
pub const TEXT_BYTES: usize = 128 << 20;
