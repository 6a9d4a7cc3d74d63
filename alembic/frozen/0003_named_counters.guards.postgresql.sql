CREATE FUNCTION guard_counter_reading_never_falls() RETURNS trigger LANGUAGE plpgsql AS $guard$
BEGIN
  IF EXISTS (
    SELECT 1 FROM added
    LEFT JOIN LATERAL (
      SELECT total FROM counter_reading
      WHERE airframe = added.airframe AND counter = added.counter AND read_on < added.read_on
      ORDER BY read_on DESC LIMIT 1
    ) AS earlier ON true
    LEFT JOIN LATERAL (
      SELECT total FROM counter_reading
      WHERE airframe = added.airframe AND counter = added.counter AND read_on > added.read_on
      ORDER BY read_on LIMIT 1
    ) AS later ON true
    WHERE earlier.total > added.total OR later.total < added.total
  ) THEN
    RAISE EXCEPTION USING
      ERRCODE = 'integrity_constraint_violation', CONSTRAINT = 'counter_reading_never_falls',
      MESSAGE = 'guard counter_reading_never_falls: a counter of an airframe never falls';
  END IF;
  RETURN NULL;
END
$guard$
-- then
CREATE TRIGGER counter_reading_never_falls_insert AFTER INSERT ON counter_reading REFERENCING NEW TABLE AS added
FOR EACH STATEMENT EXECUTE FUNCTION guard_counter_reading_never_falls()
-- then
CREATE TRIGGER counter_reading_never_falls_update BEFORE UPDATE ON counter_reading
FOR EACH STATEMENT EXECUTE FUNCTION
guard_refuses('counter_reading_never_falls', 'a reading is taken away and stated anew, never changed')
