//! Every limit of the garage folder in one place.

/// The most events in one [`append`](crate::Job::append).
pub const BATCH_MAX: usize = 500;
/// The largest job database \[bytes\].
pub const DB_BYTES_MAX: u64 = 512 * 1024 * 1024;
/// The most files that a job keeps a copy of.
pub const FILES_MAX: usize = 64;
/// The largest of them \[bytes\].
pub const FILE_BYTES_MAX: usize = 10 * 1024 * 1024;
/// The most jobs that a garage lists.
pub const JOBS_MAX: usize = 10_000;
/// The largest garage file \[bytes\].
pub const GARAGE_FILE_BYTES_MAX: u64 = 2 * 1024 * 1024;
/// The largest value kept under a key \[bytes\].
pub const META_BYTES_MAX: usize = 64 * 1024;
/// The largest kept plan \[bytes\].
pub const PLAN_BYTES_MAX: usize = 16 * 1024 * 1024;
/// The longest title \[characters\].
pub const TITLE_CHARS_MAX: usize = 200;
/// The longest source path or file name \[characters\].
pub const SOURCE_CHARS_MAX: usize = 4096;
/// The most pictures of one job.
pub const JOB_PHOTOS_MAX: usize = 2_000;
/// The largest that all pictures of one job may be, with their small copies \[bytes\].
pub const JOB_PHOTOS_BYTES_MAX: u64 = 2 * 1024 * 1024 * 1024;
/// The most files of photos in a backup.
pub const PHOTOS_MAX: usize = 10_000;
/// The largest photo \[bytes\].
pub const PHOTO_BYTES_MAX: u64 = 64 * 1024 * 1024;
/// The largest backup \[bytes\].
pub(crate) const BACKUP_BYTES_MAX: u64 = 16 * 1024 * 1024 * 1024;
/// The largest side file that says who serves \[bytes\].
pub(crate) const SERVING_BYTES_MAX: u64 = 16 * 1024;
/// The most phones that a garage has let in.
pub const PHONES_MAX: usize = 200;
/// The largest file about them \[bytes\].
pub(crate) const PHONE_FILE_BYTES_MAX: u64 = 4 * 1024 * 1024;
