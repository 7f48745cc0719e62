-- A journal as version 1 of the schema wrote it. Frozen: never edit it; a later schema gets a file of its own.
PRAGMA application_id = 1262572116;
PRAGMA user_version = 1;
CREATE TABLE event (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE,
    at TEXT NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL
) STRICT;
INSERT INTO event VALUES (1, 's1', '2024-05-04T09:29:00+00:00', 'sitting', '{"answers": [["direction", "both"]], "asked": 1, "case": {"complaint": "loose on entry"}, "complaint": "loose on entry", "done": false, "sitting": "s", "skipped": []}');
INSERT INTO event VALUES (2, 't1', '2024-05-04T09:30:00+00:00', 'trial', '{"case": {"observed": {"balance": "oversteer", "phase": "entry"}, "setup": {"rear_track_width": "1390 mm"}}, "change": {"amount": {"per": "side", "unit": "mm", "value": 5.0}, "chance": 0.3, "confidence": 0.8, "direction": "narrower", "feel_for": "the rear holds when you lean on it", "lever": "rear_track_width", "say": "narrow the rear track", "to": {"unit": "mm", "value": 1380.0}, "wrong_if": "the rear slides sooner"}, "complaint": "loose on entry"}');
INSERT INTO event VALUES (3, 'v1', '2024-05-04T09:50:00+00:00', 'verdict', '{"note": "sechs Runden, größer", "trial": "t1", "verdict": "worse"}');
INSERT INTO event VALUES (4, 't2', '2024-05-04T10:00:00+00:00', 'trial', '{"case": {"observed": {"balance": "oversteer", "phase": "entry"}}, "change": {"amount": null, "chance": 0.2, "confidence": 0.6, "direction": "more", "feel_for": "the front bites", "lever": "caster", "say": "add caster", "to": null, "wrong_if": "it pushes"}, "complaint": "loose on entry"}');
CREATE TRIGGER event_is_never_replaced BEFORE INSERT ON event
WHEN EXISTS (SELECT 1 FROM event WHERE id = NEW.id OR seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
