CREATE FUNCTION guard_refuses() RETURNS trigger LANGUAGE plpgsql AS $guard$
BEGIN
  RAISE EXCEPTION USING
    ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_ARGV[0],
    MESSAGE = 'guard ' || TG_ARGV[0] || ': ' || TG_ARGV[1];
END
$guard$
-- then
CREATE TRIGGER entry_append_only_update BEFORE UPDATE ON entry
FOR EACH STATEMENT EXECUTE FUNCTION guard_refuses('entry_append_only', 'an entry is never changed')
-- then
CREATE TRIGGER entry_append_only_delete BEFORE DELETE ON entry
FOR EACH STATEMENT EXECUTE FUNCTION guard_refuses('entry_append_only', 'an entry is never removed')
-- then
CREATE TRIGGER entry_append_only_truncate BEFORE TRUNCATE ON entry
FOR EACH STATEMENT EXECUTE FUNCTION guard_refuses('entry_append_only', 'entries are never removed')
-- then
CREATE FUNCTION guard_entry_chain() RETURNS trigger LANGUAGE plpgsql AS $guard$
DECLARE
  head record;
  guard text;
BEGIN
  SELECT * INTO head FROM ledger_head WHERE one = 1 FOR UPDATE;
  SELECT CASE
      WHEN number <> before_number + 1 OR previous <> before_digest OR recorded_at < before_recorded_at
        THEN 'entry_chain: an entry follows the head by number, previous digest and recorded time'
      WHEN digest <> encode(sha256(convert_to(body, 'UTF8')), 'hex')
        THEN 'entry_digest: the digest of an entry is the SHA-256 of its text'
      WHEN recorded_by <> session_user
        THEN 'entry_recorded_by: an entry is recorded by the user of the session'
      ELSE 'entry_body: the text of an entry says what its columns say'
    END
    INTO guard
    FROM (
      SELECT added.*,
        lag(added.number, 1, head.number) OVER follows AS before_number,
        lag(added.digest, 1, head.digest) OVER follows AS before_digest,
        lag(added.recorded_at, 1, head.recorded_at) OVER follows AS before_recorded_at,
        added.body::json AS said
      FROM added WINDOW follows AS (ORDER BY added.number)
    ) chained
    WHERE number <> before_number + 1 OR previous <> before_digest OR recorded_at < before_recorded_at
      OR digest <> encode(sha256(convert_to(body, 'UTF8')), 'hex')
      OR recorded_by <> session_user
      OR (said ->> 'number') IS DISTINCT FROM number::text
      OR (said ->> 'previous') IS DISTINCT FROM previous
      OR (said ->> 'kind') IS DISTINCT FROM kind
      OR (said ->> 'recorded_at') IS DISTINCT FROM recorded_at
      OR (said ->> 'recorded_by') IS DISTINCT FROM recorded_by
    ORDER BY number LIMIT 1;
  IF guard IS NOT NULL THEN
    RAISE EXCEPTION USING
      ERRCODE = 'integrity_constraint_violation', CONSTRAINT = split_part(guard, ':', 1),
      MESSAGE = 'guard ' || guard;
  END IF;
  UPDATE ledger_head AS moved
    SET number = last.number, digest = last.digest, recorded_at = last.recorded_at
    FROM (SELECT number, digest, recorded_at FROM added ORDER BY number DESC LIMIT 1) AS last
    WHERE moved.one = 1;
  RETURN NULL;
END
$guard$
-- then
CREATE TRIGGER entry_chain AFTER INSERT ON entry REFERENCING NEW TABLE AS added
FOR EACH STATEMENT EXECUTE FUNCTION guard_entry_chain()
-- then
INSERT INTO ledger_head (one, number, digest, recorded_at)
VALUES (
  1, 0, '0000000000000000000000000000000000000000000000000000000000000000', '1970-01-01T00:00:00.000000Z'
)
-- then
CREATE FUNCTION guard_ledger_head_forward() RETURNS trigger LANGUAGE plpgsql AS $guard$
BEGIN
  IF NEW.one <> OLD.one OR NEW.number <= OLD.number OR NEW.recorded_at < OLD.recorded_at
    OR NEW.number <> (SELECT max(number) FROM entry)
    OR NOT EXISTS (
      SELECT 1 FROM entry
      WHERE number = NEW.number AND digest = NEW.digest AND recorded_at = NEW.recorded_at
    )
  THEN
    RAISE EXCEPTION USING
      ERRCODE = 'integrity_constraint_violation', CONSTRAINT = 'ledger_head_forward',
      MESSAGE = 'guard ledger_head_forward: the head moves forward only, to the last entry';
  END IF;
  RETURN NEW;
END
$guard$
-- then
CREATE TRIGGER ledger_head_forward BEFORE UPDATE ON ledger_head
FOR EACH ROW EXECUTE FUNCTION guard_ledger_head_forward()
-- then
CREATE TRIGGER ledger_head_one_insert BEFORE INSERT ON ledger_head
FOR EACH STATEMENT EXECUTE FUNCTION guard_refuses('ledger_head_one', 'there is one head')
-- then
CREATE TRIGGER ledger_head_one_delete BEFORE DELETE ON ledger_head
FOR EACH STATEMENT EXECUTE FUNCTION guard_refuses('ledger_head_one', 'the head is never removed')
-- then
CREATE TRIGGER ledger_head_one_truncate BEFORE TRUNCATE ON ledger_head
FOR EACH STATEMENT EXECUTE FUNCTION guard_refuses('ledger_head_one', 'the head is never removed')
-- then
CREATE FUNCTION guard_reading_never_falls() RETURNS trigger LANGUAGE plpgsql AS $guard$
BEGIN
  IF EXISTS (SELECT 1 FROM added WHERE NOT EXISTS (SELECT 1 FROM airframe WHERE airframe.airframe = added.airframe))
  THEN
    RAISE EXCEPTION USING
      ERRCODE = 'integrity_constraint_violation', CONSTRAINT = 'reading_of_airframe',
      MESSAGE = 'guard reading_of_airframe: a reading names an airframe that exists';
  END IF;
  IF EXISTS (
    SELECT 1 FROM added
    LEFT JOIN LATERAL (
      SELECT minutes, cycles FROM reading
      WHERE airframe = added.airframe AND read_on < added.read_on ORDER BY read_on DESC LIMIT 1
    ) AS earlier ON true
    LEFT JOIN LATERAL (
      SELECT minutes, cycles FROM reading
      WHERE airframe = added.airframe AND read_on > added.read_on ORDER BY read_on LIMIT 1
    ) AS later ON true
    WHERE earlier.minutes > added.minutes OR earlier.cycles > added.cycles
      OR later.minutes < added.minutes OR later.cycles < added.cycles
      OR (
        SELECT minutes_total FROM movement
        WHERE airframe = added.airframe AND moved_on <= added.read_on AND minutes_total IS NOT NULL
        ORDER BY moved_on DESC, sequence DESC LIMIT 1
      ) > added.minutes OR (
        SELECT minutes_total FROM movement
        WHERE airframe = added.airframe AND moved_on > added.read_on AND minutes_total IS NOT NULL
        ORDER BY moved_on, sequence LIMIT 1
      ) < added.minutes OR (
        SELECT cycles_total FROM movement
        WHERE airframe = added.airframe AND moved_on <= added.read_on AND cycles_total IS NOT NULL
        ORDER BY moved_on DESC, sequence DESC LIMIT 1
      ) > added.cycles OR (
        SELECT cycles_total FROM movement
        WHERE airframe = added.airframe AND moved_on > added.read_on AND cycles_total IS NOT NULL
        ORDER BY moved_on, sequence LIMIT 1
      ) < added.cycles
  ) THEN
    RAISE EXCEPTION USING
      ERRCODE = 'integrity_constraint_violation', CONSTRAINT = 'reading_never_falls',
      MESSAGE = 'guard reading_never_falls: totals of an airframe never fall';
  END IF;
  RETURN NULL;
END
$guard$
-- then
CREATE TRIGGER reading_never_falls_insert AFTER INSERT ON reading REFERENCING NEW TABLE AS added
FOR EACH STATEMENT EXECUTE FUNCTION guard_reading_never_falls()
-- then
CREATE TRIGGER reading_never_falls_update BEFORE UPDATE ON reading
FOR EACH STATEMENT EXECUTE FUNCTION
guard_refuses('reading_never_falls', 'a reading is taken away and stated anew, never changed')
-- then
CREATE FUNCTION guard_movement_never_falls() RETURNS trigger LANGUAGE plpgsql AS $guard$
BEGIN
  IF EXISTS (
    SELECT 1 FROM added
    LEFT JOIN LATERAL (
      SELECT minutes, cycles FROM reading
      WHERE airframe = added.airframe AND read_on < added.moved_on ORDER BY read_on DESC LIMIT 1
    ) AS earlier ON true
    LEFT JOIN LATERAL (
      SELECT minutes, cycles FROM reading
      WHERE airframe = added.airframe AND read_on >= added.moved_on ORDER BY read_on LIMIT 1
    ) AS later ON true
    WHERE (added.minutes_total IS NOT NULL OR added.cycles_total IS NOT NULL) AND (
      earlier.minutes > added.minutes_total OR earlier.cycles > added.cycles_total
      OR later.minutes < added.minutes_total OR later.cycles < added.cycles_total
      OR (
        SELECT minutes_total FROM movement
        WHERE airframe = added.airframe AND (moved_on, sequence) < (added.moved_on, added.sequence)
          AND minutes_total IS NOT NULL ORDER BY moved_on DESC, sequence DESC LIMIT 1
      ) > added.minutes_total OR (
        SELECT minutes_total FROM movement
        WHERE airframe = added.airframe AND (moved_on, sequence) > (added.moved_on, added.sequence)
          AND minutes_total IS NOT NULL ORDER BY moved_on, sequence LIMIT 1
      ) < added.minutes_total OR (
        SELECT cycles_total FROM movement
        WHERE airframe = added.airframe AND (moved_on, sequence) < (added.moved_on, added.sequence)
          AND cycles_total IS NOT NULL ORDER BY moved_on DESC, sequence DESC LIMIT 1
      ) > added.cycles_total OR (
        SELECT cycles_total FROM movement
        WHERE airframe = added.airframe AND (moved_on, sequence) > (added.moved_on, added.sequence)
          AND cycles_total IS NOT NULL ORDER BY moved_on, sequence LIMIT 1
      ) < added.cycles_total
    )
  ) THEN
    RAISE EXCEPTION USING
      ERRCODE = 'integrity_constraint_violation', CONSTRAINT = 'movement_never_falls',
      MESSAGE = 'guard movement_never_falls: totals of an airframe never fall';
  END IF;
  RETURN NULL;
END
$guard$
-- then
CREATE TRIGGER movement_never_falls_insert AFTER INSERT ON movement REFERENCING NEW TABLE AS added
FOR EACH STATEMENT EXECUTE FUNCTION guard_movement_never_falls()
-- then
CREATE TRIGGER movement_never_falls_update BEFORE UPDATE ON movement
FOR EACH STATEMENT EXECUTE FUNCTION
guard_refuses('movement_never_falls', 'a movement is taken away and stated anew, never changed')
-- then
ALTER TABLE placement ADD CONSTRAINT placement_unit_overlap EXCLUDE USING gist (
  int8range(unit_id, unit_id, '[]') WITH &&, int8range(from_moment, until_moment) WITH &&
)
-- then
ALTER TABLE placement ADD CONSTRAINT placement_place_overlap EXCLUDE USING gist (
  int8range(place_key, place_key, '[]') WITH &&, int8range(from_moment, until_moment) WITH &&
) WHERE (place_key IS NOT NULL)
-- then
ALTER TABLE carriage ADD CONSTRAINT carriage_unit_overlap EXCLUDE USING gist (
  int8range(unit_id, unit_id, '[]') WITH &&, int8range(from_moment, until_moment) WITH &&
)
