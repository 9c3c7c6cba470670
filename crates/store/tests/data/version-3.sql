-- A job database as version 3 left it. Never change this file: it stands for jobs in the field.
PRAGMA application_id = 1279412802; -- 0x4C424A42, "LBJB"
PRAGMA user_version = 3;
CREATE TABLE meta (
  key   TEXT NOT NULL PRIMARY KEY,
  value TEXT NOT NULL
) STRICT;
CREATE TABLE files (
  name TEXT NOT NULL PRIMARY KEY,
  role TEXT NOT NULL CHECK (role IN ('machine', 'job', 'garage')),
  text TEXT NOT NULL
) STRICT;
CREATE TABLE events (
  seq            INTEGER NOT NULL PRIMARY KEY,
  id             TEXT NOT NULL UNIQUE,
  recorded_at_ms INTEGER NOT NULL,
  sender         TEXT NOT NULL,
  count          INTEGER NOT NULL,
  seen           INTEGER NOT NULL,
  said_at_ms     INTEGER NOT NULL,
  verb           TEXT NOT NULL,
  thing          TEXT,
  spot           TEXT,
  tool           TEXT,
  person         TEXT,
  note           TEXT,
  pieces         INTEGER,
  of             TEXT
) STRICT;
INSERT INTO meta VALUES
  ('id', 'kelp-impeller-3'),
  ('unique', '0123456789abcdef0123456789abcdef'),
  ('title', 'Kelp impeller'),
  ('source', '/demo/kelp'),
  ('created_at_ms', '1700000000000'),
  ('made_by', 'lastbolt 0.1.0');
INSERT INTO files VALUES ('machine.toml', 'machine', 'machine = "Kelp"');
INSERT INTO events VALUES
  (1, 'phone-1', 1700000001000, 'phone', 1, 0, 1700000000500, 'undo', 'lower screws', 'bench',
   'socket 10', 'Ida', NULL, 2, NULL),
  (2, 'phone-2', 1700000002000, 'phone', 2, 1, 1700000001500, 'off', 'housing', NULL, NULL, NULL,
   'stuck', NULL, NULL),
  (3, 'desk-1', 1700000003000, 'desk', 1, 2, 1700000002500, 'take_back', NULL, NULL, NULL, NULL,
   NULL, NULL, 'phone-2'),
  (4, 'phone-3', 1700000004000, 'phone', 3, 3, 1700000003500, 'polish', 'housing', NULL, NULL,
   NULL, 'a word of another version', NULL, NULL);
CREATE TABLE plan (
  one     INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
  made_at INTEGER NOT NULL,
  text    TEXT NOT NULL
) STRICT;
ALTER TABLE events ADD COLUMN more TEXT;
INSERT INTO events VALUES
  (5, 'phone-4', 1700000005000, 'phone', 4, 4, 1700000004500, 'took', NULL, NULL, NULL, NULL,
   NULL, NULL, NULL, '{"ties":[{"kind":"nut","count":3}]}');
INSERT INTO plan VALUES (1, 4, 'kept');
