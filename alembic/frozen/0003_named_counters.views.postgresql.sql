DROP VIEW due
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
  due_point.unknown, due_point.unit_id, due_point.airframe_id,
  due_point.counter, due_point.due_counter AS airframe_counter_due, due_point.left_counter
FROM due_point
JOIN unit_state ON unit_state.unit_id = due_point.unit_id
LEFT JOIN requirement ON requirement.requirement_key = due_point.requirement_key
LEFT JOIN airframe ON airframe.airframe = due_point.airframe_id
