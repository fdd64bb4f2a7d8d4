//! All files of a run, or none.
//!
//! Each is written under another name in its folder first. Only when all are complete and on the disk do they get their
//! names; should one name be refused after all, those already given are taken back. A run that fails leaves what an earlier
//! one wrote as it was. A power cut between two names is the one thing that can still leave a mixture.

use std::io::Write;
use std::path::{Path, PathBuf};

use tempfile::{NamedTempFile, TempPath};

use super::error::PressError;

/// Files that are written but do not have their names yet. Dropping it removes them.
#[derive(Debug, Default)]
pub struct Staged {
    files: Vec<(NamedTempFile, PathBuf)>,
}

impl Staged {
    /// Nothing yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Writes a file beside its final place, making the folder if need be.
    ///
    /// # Errors
    /// [`PressError::File`] where the system refuses.
    pub fn add(&mut self, path: &Path, bytes: &[u8]) -> Result<(), PressError> {
        let folder = folder_of(path);
        if path.is_dir() {
            return Err(file_error(path, "a folder has this name"));
        }
        if folder.is_file() {
            return Err(file_error(folder, "this is a file, and a folder is needed; name another with `--out`"));
        }
        std::fs::create_dir_all(folder).map_err(|error| file_error(folder, error))?;
        let mut file = temporary().tempfile_in(folder).map_err(|error| file_error(folder, error))?;
        file.write_all(bytes).and_then(|()| file.as_file().sync_all()).map_err(|error| file_error(path, error))?;
        self.files.push((file, path.to_path_buf()));
        Ok(())
    }

    /// Gives all files their names, or none.
    ///
    /// # Errors
    /// [`PressError::File`] where the system refuses a name; the earlier files are back then.
    pub fn commit(self) -> Result<Vec<PathBuf>, PressError> {
        let mut given = Given::default();
        for (file, path) in self.files {
            if let Err(fault) = given.name(file, &path) {
                given.take_back();
                return Err(file_error(&path, fault));
            }
        }
        Ok(given.files.into_iter().map(|(path, _)| path).collect())
    }
}

/// Files that have their names, each with what stood there before, kept beside it until all is done.
#[derive(Debug, Default)]
struct Given {
    files: Vec<(PathBuf, Option<TempPath>)>,
}

impl Given {
    fn name(&mut self, file: NamedTempFile, path: &Path) -> std::io::Result<()> {
        let earlier = path.is_file().then(|| keep(path)).transpose()?;
        file.persist(path).map_err(|refused| refused.error)?;
        self.files.push((path.to_path_buf(), earlier));
        Ok(())
    }

    /// Puts back what stood there before. A system that refuses that too cannot be helped.
    fn take_back(self) {
        for (path, earlier) in self.files.into_iter().rev() {
            let _ = match earlier {
                Some(earlier) => earlier.persist(&path).map_err(|refused| refused.error),
                None => std::fs::remove_file(&path),
            };
        }
    }
}

/// A second name for a file, or a copy where the file system knows no such thing.
fn keep(path: &Path) -> std::io::Result<TempPath> {
    let folder = folder_of(path);
    let place = temporary().tempfile_in(folder)?.into_temp_path();
    std::fs::remove_file(&place)?;
    std::fs::hard_link(path, &place).or_else(|_| std::fs::copy(path, &place).map(|_| ()))?;
    Ok(place)
}

/// A builder of temporary files. They are private by default; paper is for everybody who may read the folder.
fn temporary() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".benchleaf-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o644));
    }
    builder
}

fn file_error(path: &Path, fault: impl std::fmt::Display) -> PressError {
    PressError::File { path: path.display().to_string(), fault: fault.to_string() }
}

/// The folder in which a file stands.
fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}
