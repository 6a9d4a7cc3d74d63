CREATE TRIGGER counter_reading_never_falls_insert BEFORE INSERT ON counter_reading
BEGIN
  SELECT RAISE(ABORT, 'guard counter_reading_never_falls: a counter of an airframe never falls')
  WHERE (
    SELECT total FROM counter_reading
    WHERE airframe = NEW.airframe AND counter = NEW.counter AND read_on < NEW.read_on
    ORDER BY read_on DESC LIMIT 1
  ) > NEW.total OR (
    SELECT total FROM counter_reading
    WHERE airframe = NEW.airframe AND counter = NEW.counter AND read_on > NEW.read_on
    ORDER BY read_on LIMIT 1
  ) < NEW.total;
END
-- then
CREATE TRIGGER counter_reading_never_falls_update BEFORE UPDATE ON counter_reading
BEGIN
  SELECT RAISE(ABORT, 'guard counter_reading_never_falls: a reading is taken away and stated anew, never changed');
END
