//! Files that people name, read whole but within bounds.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::Path;

/// Largest file that is read, in bytes: several times a year of minutes with all the columns of the open layouts.
const LARGEST: u64 = 256 << 20;

/// The content of a plain file. Pipes and devices are refused: they may never end.
pub(crate) fn read(path: &Path) -> io::Result<Vec<u8>> {
    read_up_to(path, LARGEST)
}

fn read_up_to(path: &Path, largest: u64) -> io::Result<Vec<u8>> {
    let found = fs::metadata(path)?;
    if found.is_dir() {
        return Err(io::Error::other("it is a folder"));
    }
    if !found.is_file() {
        return Err(io::Error::other("it is a pipe or a device, not a file"));
    }
    let mut bytes = Vec::new();
    // The length that a file system tells is not always what comes.
    File::open(path)?.take(largest + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > largest {
        return Err(io::Error::other(format!("it has more than {} MB", largest >> 20)));
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_its_bound() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("some.csv");
        fs::write(&path, vec![b'x'; 1 << 20]).expect("a file");
        assert_eq!(read_up_to(&path, 1 << 20).expect("as long as it may be").len(), 1 << 20);
        fs::write(&path, vec![b'x'; (1 << 20) + 1]).expect("a file");
        let told = read_up_to(&path, 1 << 20).expect_err("too long").to_string();
        assert_eq!(told, "it has more than 1 MB");
    }
}
