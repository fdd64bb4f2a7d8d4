//! All files of a run, or none.
//!
//! Each is written under another name in its folder first. Only when all are complete do they get their names, so a run
//! that fails leaves what an earlier one wrote as it was.

use std::io::Write;
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

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
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        if path.is_dir() {
            return Err(file_error(path, "a folder has this name"));
        }
        std::fs::create_dir_all(folder).map_err(|error| file_error(folder, error))?;
        let mut file = temporary().tempfile_in(folder).map_err(|error| file_error(folder, error))?;
        file.write_all(bytes).and_then(|()| file.flush()).map_err(|error| file_error(path, error))?;
        self.files.push((file, path.to_path_buf()));
        Ok(())
    }

    /// Gives all files their names.
    ///
    /// # Errors
    /// [`PressError::File`] where the system refuses a name.
    pub fn commit(self) -> Result<Vec<PathBuf>, PressError> {
        let mut paths = Vec::with_capacity(self.files.len());
        for (file, path) in self.files {
            file.persist(&path).map_err(|error| file_error(&path, error.error))?;
            paths.push(path);
        }
        Ok(paths)
    }
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
