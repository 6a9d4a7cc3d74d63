CREATE TRIGGER entry_append_only_update BEFORE UPDATE ON entry
BEGIN
  SELECT RAISE(ABORT, 'guard entry_append_only: an entry is never changed');
END
-- then
CREATE TRIGGER entry_append_only_delete BEFORE DELETE ON entry
BEGIN
  SELECT RAISE(ABORT, 'guard entry_append_only: an entry is never removed');
END
-- then
CREATE TRIGGER entry_chain_before BEFORE INSERT ON entry
BEGIN
  SELECT RAISE(ABORT, 'guard entry_append_only: an entry is never replaced')
  WHERE EXISTS (SELECT 1 FROM entry WHERE number = NEW.number)
     OR EXISTS (SELECT 1 FROM entry WHERE digest = NEW.digest);
  SELECT RAISE(ABORT, 'guard entry_chain: an entry follows the head by number, previous digest and recorded time')
  WHERE NOT EXISTS (
    SELECT 1 FROM ledger_head
    WHERE number = NEW.number - 1 AND digest = NEW.previous AND recorded_at <= NEW.recorded_at
  );
  SELECT RAISE(ABORT, 'guard entry_body: the text of an entry says what its columns say')
  WHERE json_extract(NEW.body, '$.number') IS NOT NEW.number
     OR json_extract(NEW.body, '$.previous') IS NOT NEW.previous
     OR json_extract(NEW.body, '$.kind') IS NOT NEW.kind
     OR json_extract(NEW.body, '$.recorded_at') IS NOT NEW.recorded_at
     OR json_extract(NEW.body, '$.recorded_by') IS NOT NEW.recorded_by;
END
-- then
CREATE TRIGGER entry_chain_after AFTER INSERT ON entry
BEGIN
  UPDATE ledger_head SET number = NEW.number, digest = NEW.digest, recorded_at = NEW.recorded_at WHERE one = 1;
END
-- then
INSERT INTO ledger_head (one, number, digest, recorded_at)
VALUES (
  1, 0, '0000000000000000000000000000000000000000000000000000000000000000', '1970-01-01T00:00:00.000000Z'
)
-- then
CREATE TRIGGER ledger_head_forward BEFORE UPDATE ON ledger_head
BEGIN
  SELECT RAISE(ABORT, 'guard ledger_head_forward: the head moves forward only, to the last entry')
  WHERE NEW.one <> OLD.one OR NEW.number <= OLD.number OR NEW.recorded_at < OLD.recorded_at
     OR NEW.number <> (SELECT max(number) FROM entry)
     OR NOT EXISTS (
       SELECT 1 FROM entry
       WHERE number = NEW.number AND digest = NEW.digest AND recorded_at = NEW.recorded_at
     );
END
-- then
CREATE TRIGGER ledger_head_one_insert BEFORE INSERT ON ledger_head
BEGIN
  SELECT RAISE(ABORT, 'guard ledger_head_one: there is one head');
END
-- then
CREATE TRIGGER ledger_head_one_delete BEFORE DELETE ON ledger_head
BEGIN
  SELECT RAISE(ABORT, 'guard ledger_head_one: the head is never removed');
END
-- then
CREATE TRIGGER reading_never_falls_insert BEFORE INSERT ON reading
BEGIN
  SELECT RAISE(ABORT, 'guard reading_of_airframe: a reading names an airframe that exists')
  WHERE NOT EXISTS (SELECT 1 FROM airframe WHERE airframe = NEW.airframe);
  SELECT RAISE(ABORT, 'guard reading_never_falls: totals of an airframe never fall')
  WHERE EXISTS (
    SELECT 1 FROM (
      SELECT minutes, cycles FROM reading
      WHERE airframe = NEW.airframe AND read_on < NEW.read_on ORDER BY read_on DESC LIMIT 1
    ) WHERE minutes > NEW.minutes OR cycles > NEW.cycles
  ) OR EXISTS (
    SELECT 1 FROM (
      SELECT minutes, cycles FROM reading
      WHERE airframe = NEW.airframe AND read_on > NEW.read_on ORDER BY read_on LIMIT 1
    ) WHERE minutes < NEW.minutes OR cycles < NEW.cycles
  ) OR (
    SELECT minutes_total FROM movement
    WHERE airframe = NEW.airframe AND moved_on <= NEW.read_on AND minutes_total IS NOT NULL
    ORDER BY moved_on DESC, sequence DESC LIMIT 1
  ) > NEW.minutes OR (
    SELECT minutes_total FROM movement
    WHERE airframe = NEW.airframe AND moved_on > NEW.read_on AND minutes_total IS NOT NULL
    ORDER BY moved_on, sequence LIMIT 1
  ) < NEW.minutes OR (
    SELECT cycles_total FROM movement
    WHERE airframe = NEW.airframe AND moved_on <= NEW.read_on AND cycles_total IS NOT NULL
    ORDER BY moved_on DESC, sequence DESC LIMIT 1
  ) > NEW.cycles OR (
    SELECT cycles_total FROM movement
    WHERE airframe = NEW.airframe AND moved_on > NEW.read_on AND cycles_total IS NOT NULL
    ORDER BY moved_on, sequence LIMIT 1
  ) < NEW.cycles;
END
-- then
CREATE TRIGGER reading_never_falls_update BEFORE UPDATE ON reading
BEGIN
  SELECT RAISE(ABORT, 'guard reading_never_falls: a reading is taken away and stated anew, never changed');
END
-- then
CREATE TRIGGER movement_never_falls_insert BEFORE INSERT ON movement
WHEN NEW.minutes_total IS NOT NULL OR NEW.cycles_total IS NOT NULL
BEGIN
  SELECT RAISE(ABORT, 'guard movement_never_falls: totals of an airframe never fall')
  WHERE EXISTS (
    SELECT 1 FROM (
      SELECT minutes, cycles FROM reading
      WHERE airframe = NEW.airframe AND read_on < NEW.moved_on ORDER BY read_on DESC LIMIT 1
    ) WHERE minutes > NEW.minutes_total OR cycles > NEW.cycles_total
  ) OR EXISTS (
    SELECT 1 FROM (
      SELECT minutes, cycles FROM reading
      WHERE airframe = NEW.airframe AND read_on >= NEW.moved_on ORDER BY read_on LIMIT 1
    ) WHERE minutes < NEW.minutes_total OR cycles < NEW.cycles_total
  ) OR (
    SELECT minutes_total FROM movement
    WHERE airframe = NEW.airframe AND (moved_on, sequence) < (NEW.moved_on, NEW.sequence)
      AND minutes_total IS NOT NULL ORDER BY moved_on DESC, sequence DESC LIMIT 1
  ) > NEW.minutes_total OR (
    SELECT minutes_total FROM movement
    WHERE airframe = NEW.airframe AND (moved_on, sequence) > (NEW.moved_on, NEW.sequence)
      AND minutes_total IS NOT NULL ORDER BY moved_on, sequence LIMIT 1
  ) < NEW.minutes_total OR (
    SELECT cycles_total FROM movement
    WHERE airframe = NEW.airframe AND (moved_on, sequence) < (NEW.moved_on, NEW.sequence)
      AND cycles_total IS NOT NULL ORDER BY moved_on DESC, sequence DESC LIMIT 1
  ) > NEW.cycles_total OR (
    SELECT cycles_total FROM movement
    WHERE airframe = NEW.airframe AND (moved_on, sequence) > (NEW.moved_on, NEW.sequence)
      AND cycles_total IS NOT NULL ORDER BY moved_on, sequence LIMIT 1
  ) < NEW.cycles_total;
END
-- then
CREATE TRIGGER movement_never_falls_update BEFORE UPDATE ON movement
BEGIN
  SELECT RAISE(ABORT, 'guard movement_never_falls: a movement is taken away and stated anew, never changed');
END
-- then
CREATE TRIGGER placement_overlap_insert BEFORE INSERT ON placement
BEGIN
  SELECT RAISE(ABORT, 'guard placement_unit_overlap: a unit is in one place at a time')
  WHERE EXISTS (
    SELECT 1 FROM (
      SELECT until_moment FROM placement
      WHERE unit_id = NEW.unit_id AND from_moment <= NEW.from_moment ORDER BY from_moment DESC LIMIT 1
    ) WHERE until_moment IS NULL OR until_moment > NEW.from_moment
  ) OR EXISTS (
    SELECT 1 FROM placement
    WHERE unit_id = NEW.unit_id AND from_moment > NEW.from_moment
      AND from_moment < coalesce(NEW.until_moment, 9223372036854775807)
  );
  SELECT RAISE(ABORT, 'guard placement_place_overlap: a place holds one unit at a time')
  WHERE NEW.place_key IS NOT NULL AND (EXISTS (
    SELECT 1 FROM (
      SELECT until_moment FROM placement
      WHERE place_key = NEW.place_key AND from_moment <= NEW.from_moment ORDER BY from_moment DESC LIMIT 1
    ) WHERE until_moment IS NULL OR until_moment > NEW.from_moment
  ) OR EXISTS (
    SELECT 1 FROM placement
    WHERE place_key = NEW.place_key AND from_moment > NEW.from_moment
      AND from_moment < coalesce(NEW.until_moment, 9223372036854775807)
  ));
END
-- then
CREATE TRIGGER placement_overlap_update BEFORE UPDATE ON placement
BEGIN
  SELECT RAISE(ABORT, 'guard placement_unit_overlap: a stay is closed or opened again, never moved')
  WHERE NEW.unit_id <> OLD.unit_id OR NEW.from_moment <> OLD.from_moment OR NEW.place_key IS NOT OLD.place_key;
  SELECT RAISE(ABORT, 'guard placement_unit_overlap: a unit is in one place at a time')
  WHERE EXISTS (
    SELECT 1 FROM placement
    WHERE unit_id = NEW.unit_id AND from_moment > NEW.from_moment
      AND from_moment < coalesce(NEW.until_moment, 9223372036854775807)
  );
  SELECT RAISE(ABORT, 'guard placement_place_overlap: a place holds one unit at a time')
  WHERE NEW.place_key IS NOT NULL AND EXISTS (
    SELECT 1 FROM placement
    WHERE place_key = NEW.place_key AND from_moment > NEW.from_moment
      AND from_moment < coalesce(NEW.until_moment, 9223372036854775807)
  );
END
-- then
CREATE TRIGGER carriage_overlap_insert BEFORE INSERT ON carriage
BEGIN
  SELECT RAISE(ABORT, 'guard carriage_unit_overlap: a unit is carried by one airframe at a time')
  WHERE EXISTS (
    SELECT 1 FROM (
      SELECT until_moment FROM carriage
      WHERE unit_id = NEW.unit_id AND from_moment <= NEW.from_moment ORDER BY from_moment DESC LIMIT 1
    ) WHERE until_moment IS NULL OR until_moment > NEW.from_moment
  ) OR EXISTS (
    SELECT 1 FROM carriage
    WHERE unit_id = NEW.unit_id AND from_moment > NEW.from_moment
      AND from_moment < coalesce(NEW.until_moment, 9223372036854775807)
  );
END
-- then
CREATE TRIGGER carriage_overlap_update BEFORE UPDATE ON carriage
BEGIN
  SELECT RAISE(ABORT, 'guard carriage_unit_overlap: a carriage is closed or opened again, never moved')
  WHERE NEW.unit_id <> OLD.unit_id OR NEW.from_moment <> OLD.from_moment;
  SELECT RAISE(ABORT, 'guard carriage_unit_overlap: a unit is carried by one airframe at a time')
  WHERE EXISTS (
    SELECT 1 FROM carriage
    WHERE unit_id = NEW.unit_id AND from_moment > NEW.from_moment
      AND from_moment < coalesce(NEW.until_moment, 9223372036854775807)
  );
END
