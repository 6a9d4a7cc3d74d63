CREATE VIEW installed AS
SELECT
  CASE WHEN airframe.registered_until IS NULL THEN airframe.registration ELSE coalesce((
    SELECT registration.registration FROM registration
    WHERE registration.airframe = airframe.airframe ORDER BY registration.registered_from DESC LIMIT 1
  ), airframe.registration) END AS registration,
  airframe.constructor_serial, unit_state.position, unit_state.part_number, unit_state.serial_number,
  unit_state.manufacturer, to_char(date '0001-01-01' + (unit_state.since_moment / 10000 - 1)::int, 'YYYY-MM-DD') AS installed_on, unit_state.condition,
  unit_state.harness, unit_state.unit_id, airframe.airframe AS airframe_id
FROM unit_state JOIN airframe ON airframe.airframe = unit_state.airframe_id
WHERE unit_state.kind = 'position'
-- then
CREATE VIEW readings_latest AS
SELECT
  CASE WHEN airframe.registered_until IS NULL THEN airframe.registration ELSE coalesce((
    SELECT registration.registration FROM registration
    WHERE registration.airframe = airframe.airframe ORDER BY registration.registered_from DESC LIMIT 1
  ), airframe.registration) END AS registration,
  airframe.constructor_serial, to_char(date '0001-01-01' + (reading.read_on - 1)::int, 'YYYY-MM-DD') AS read_on, reading.minutes, reading.cycles,
  airframe.airframe AS airframe_id
FROM airframe JOIN reading ON reading.airframe = airframe.airframe AND reading.read_on = (
  SELECT last.read_on FROM reading AS last
  WHERE last.airframe = airframe.airframe ORDER BY last.read_on DESC LIMIT 1
)
-- then
CREATE VIEW due AS
SELECT
  CASE WHEN airframe.registered_until IS NULL THEN airframe.registration ELSE coalesce((
    SELECT registration.registration FROM registration
    WHERE registration.airframe = airframe.airframe ORDER BY registration.registered_from DESC LIMIT 1
  ), airframe.registration) END AS registration,
  airframe.constructor_serial, unit_state.position, unit_state.part_number, unit_state.serial_number,
  unit_state.manufacturer, requirement.requirement, requirement.kind, requirement.source, requirement.edition,
  due_point.standing, to_char(date '0001-01-01' + (due_point.calendar_due - 1)::int, 'YYYY-MM-DD') AS calendar_due,
  due_point.due_minutes AS airframe_minutes_due, due_point.due_cycles AS airframe_cycles_due,
  due_point.left_minutes, due_point.left_cycles, due_point.operations_left,
  to_char(date '0001-01-01' + (due_point.in_force_from - 1)::int, 'YYYY-MM-DD') AS in_force_from, to_char(date '0001-01-01' + (due_point.in_force_until - 1)::int, 'YYYY-MM-DD') AS in_force_until,
  due_point.unknown, due_point.unit_id, due_point.airframe_id
FROM due_point
JOIN unit_state ON unit_state.unit_id = due_point.unit_id
LEFT JOIN requirement ON requirement.requirement_key = due_point.requirement_key
LEFT JOIN airframe ON airframe.airframe = due_point.airframe_id
