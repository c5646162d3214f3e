/**
 * How the library file is laid out. A migration is never changed once released: a change is a new
 * entry at the end, and the file's `user_version` counts how many have been applied.
 */

/** Marks an SQLite file as a library ("LapB"), in its header. */
export const applicationId = 0x4c617042;

export const migrations: readonly string[] = [
  `
  CREATE TABLE recordings (
    sha256 TEXT PRIMARY KEY CHECK (length(sha256) = 64),
    size   INTEGER NOT NULL CHECK (size = length(bytes)),
    bytes  BLOB NOT NULL
  ) STRICT;

  CREATE TABLE days (
    id        TEXT PRIMARY KEY,
    title     TEXT NOT NULL,
    date      TEXT NOT NULL,
    invented  INTEGER NOT NULL CHECK (invented IN (0, 1)),
    setups    INTEGER NOT NULL,
    runs      INTEGER NOT NULL,
    state     TEXT NOT NULL CHECK (state IN ('draft', 'kept')),
    sheet     TEXT NOT NULL,
    headline  TEXT NOT NULL,
    createdAt TEXT NOT NULL,
    changedAt TEXT NOT NULL,
    removedAt TEXT
  ) STRICT;

  CREATE TABLE day_recordings (
    day    TEXT NOT NULL REFERENCES days (id) ON DELETE CASCADE,
    file   TEXT NOT NULL,
    sha256 TEXT NOT NULL REFERENCES recordings (sha256),
    place  INTEGER NOT NULL,
    PRIMARY KEY (day, file)
  ) STRICT;
  CREATE INDEX day_recordings_by_hash ON day_recordings (sha256);

  CREATE TABLE findings (
    id          INTEGER PRIMARY KEY AUTOINCREMENT,
    day         TEXT NOT NULL REFERENCES days (id) ON DELETE CASCADE,
    method      TEXT NOT NULL,
    madeAt      TEXT NOT NULL,
    key         TEXT NOT NULL,
    sheetSha256 TEXT NOT NULL,
    sheet       TEXT NOT NULL,
    result      TEXT NOT NULL CHECK (json_valid(result))
  ) STRICT;
  CREATE INDEX findings_by_day ON findings (day, id);

  CREATE TABLE finding_inputs (
    finding INTEGER NOT NULL REFERENCES findings (id) ON DELETE CASCADE,
    file    TEXT NOT NULL,
    sha256  TEXT NOT NULL,
    PRIMARY KEY (finding, file)
  ) STRICT;
  CREATE INDEX finding_inputs_by_hash ON finding_inputs (sha256);
  `,
  `
  CREATE TABLE bench_items (
    id        TEXT PRIMARY KEY,
    kind      TEXT NOT NULL CHECK (kind IN ('stiffness', 'tension', 'wheel')),
    title     TEXT NOT NULL,
    date      TEXT NOT NULL,
    setup     TEXT NOT NULL,
    input     TEXT NOT NULL,
    options   TEXT NOT NULL CHECK (json_valid(options)),
    result    TEXT CHECK (result IS NULL OR json_valid(result)),
    method    TEXT NOT NULL,
    headline  TEXT NOT NULL,
    createdAt TEXT NOT NULL,
    changedAt TEXT NOT NULL,
    removedAt TEXT
  ) STRICT;
  `,
  `
  CREATE TABLE sound_files (
    id        TEXT PRIMARY KEY,
    file      TEXT NOT NULL,
    bytes     INTEGER NOT NULL,
    received  INTEGER NOT NULL CHECK (received <= bytes),
    sha256    TEXT CHECK (sha256 IS NULL OR length(sha256) = 64),
    changedAt TEXT NOT NULL
  ) STRICT;

  CREATE TABLE sound_pieces (
    file  TEXT NOT NULL REFERENCES sound_files (id) ON DELETE CASCADE,
    start INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    PRIMARY KEY (file, start)
  ) STRICT;

  CREATE TABLE sounds (
    id        TEXT PRIMARY KEY,
    kind      TEXT NOT NULL CHECK (kind IN ('noise', 'plucks')),
    title     TEXT NOT NULL,
    date      TEXT NOT NULL,
    setup     TEXT NOT NULL,
    options   TEXT NOT NULL CHECK (json_valid(options)),
    fileId    TEXT NOT NULL REFERENCES sound_files (id),
    rideId    TEXT REFERENCES sound_files (id),
    state     TEXT NOT NULL CHECK (state IN ('waiting', 'ready', 'refused', 'stopped')),
    durationS REAL,
    headline  TEXT NOT NULL,
    createdAt TEXT NOT NULL,
    changedAt TEXT NOT NULL,
    removedAt TEXT
  ) STRICT;
  CREATE INDEX sounds_by_file ON sounds (fileId);
  CREATE INDEX sounds_by_ride ON sounds (rideId);

  CREATE TABLE sound_results (
    sound TEXT NOT NULL REFERENCES sounds (id) ON DELETE CASCADE,
    what  TEXT NOT NULL CHECK (what IN ('analysis', 'finding')),
    key   TEXT NOT NULL,
    data  TEXT NOT NULL CHECK (json_valid(data)),
    PRIMARY KEY (sound, what)
  ) STRICT;
  `,
];
