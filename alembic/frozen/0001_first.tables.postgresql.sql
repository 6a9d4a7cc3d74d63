CREATE TABLE airframe (
  airframe BIGINT NOT NULL,
  registration TEXT COLLATE "C" NOT NULL,
  constructor_serial TEXT COLLATE "C" NOT NULL,
  type TEXT COLLATE "C" NOT NULL,
  manufactured TEXT COLLATE "C",
  operator TEXT COLLATE "C",
  station TEXT COLLATE "C",
  programme TEXT COLLATE "C",
  registered_from BIGINT,
  registered_until BIGINT,
  status TEXT COLLATE "C" CONSTRAINT ck_airframe_status CHECK (status in ('in_service', 'parked', 'withdrawn')),
  registration_fold TEXT COLLATE "C" NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_airframe PRIMARY KEY (airframe),
  CONSTRAINT uq_airframe_constructor_serial UNIQUE (constructor_serial)
)
-- then
CREATE INDEX ix_airframe_registration_fold ON airframe (registration_fold)
-- then
COMMENT ON TABLE airframe IS 'Airframes. The constructor''s serial never changes.'
-- then
COMMENT ON COLUMN airframe.manufactured IS 'partial date'
-- then
COMMENT ON COLUMN airframe.registered_from IS 'ordinal day'
-- then
COMMENT ON COLUMN airframe.registered_until IS 'ordinal day'
-- then
COMMENT ON COLUMN airframe.registration_fold IS 'registration, folded'
-- then
CREATE TABLE airframe_type (
  type TEXT COLLATE "C" NOT NULL,
  name TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_airframe_type PRIMARY KEY (type)
)
-- then
COMMENT ON TABLE airframe_type IS 'Airframe types.'
-- then
CREATE TABLE alternate (
  part_number TEXT COLLATE "C" NOT NULL,
  alternate TEXT COLLATE "C" NOT NULL,
  direction TEXT COLLATE "C" NOT NULL CONSTRAINT ck_alternate_direction CHECK (direction in ('one-way', 'two-way', 'supersedes')),
  conditions TEXT COLLATE "C",
  reference TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_alternate PRIMARY KEY (part_number, alternate)
)
-- then
COMMENT ON TABLE alternate IS 'Which part may stand in for, or supersedes, which.'
-- then
CREATE TABLE band (
  requirement TEXT COLLATE "C" NOT NULL,
  part_number TEXT COLLATE "C" NOT NULL,
  programme TEXT COLLATE "C",
  edition TEXT COLLATE "C",
  from_age_months BIGINT NOT NULL,
  repeat_months BIGINT,
  repeat_minutes BIGINT,
  repeat_cycles BIGINT,
  band_rule TEXT COLLATE "C" CONSTRAINT ck_band_band_rule CHECK (band_rule in ('cap', 'basis')),
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_band PRIMARY KEY (entry_number, entry_item)
)
-- then
CREATE INDEX ix_band_part_number ON band (part_number)
-- then
COMMENT ON TABLE band IS 'Repeat intervals that change with age.'
-- then
CREATE TABLE carriage (
  unit_id BIGINT NOT NULL,
  from_moment BIGINT NOT NULL,
  until_moment BIGINT,
  airframe_id BIGINT NOT NULL,
  root_id BIGINT NOT NULL,
  from_minutes BIGINT,
  from_cycles BIGINT,
  until_minutes BIGINT,
  until_cycles BIGINT,
  from_basis TEXT COLLATE "C" NOT NULL CONSTRAINT ck_carriage_from_basis CHECK (from_basis in ('stated', 'bounded', 'provisional', 'opening', 'doubtful', 'open')),
  until_basis TEXT COLLATE "C" NOT NULL CONSTRAINT ck_carriage_until_basis CHECK (until_basis in ('stated', 'bounded', 'provisional', 'opening', 'doubtful', 'open')),
  entry BIGINT NOT NULL,
  CONSTRAINT pk_carriage PRIMARY KEY (unit_id, from_moment),
  CONSTRAINT ck_carriage_lasts CHECK (until_moment is null or until_moment > from_moment),
  CONSTRAINT ck_carriage_never_falls CHECK (until_minutes >= from_minutes and until_cycles >= from_cycles)
)
-- then
CREATE INDEX ix_carriage_airframe ON carriage (airframe_id, from_moment)
-- then
CREATE INDEX ix_carriage_not_stated ON carriage (airframe_id, unit_id) WHERE from_basis in ('bounded', 'provisional') or until_basis in ('bounded', 'provisional', 'doubtful')
-- then
CREATE UNIQUE INDEX ix_carriage_one_open_a_unit ON carriage (unit_id) WHERE until_moment is null
-- then
COMMENT ON TABLE carriage IS 'Times during which an airframe carried a unit, in itself or in its parent.'
-- then
COMMENT ON COLUMN carriage.root_id IS 'the unit on the position'
-- then
COMMENT ON COLUMN carriage.from_minutes IS 'airframe total'
-- then
COMMENT ON COLUMN carriage.from_cycles IS 'airframe total'
-- then
COMMENT ON COLUMN carriage.until_minutes IS 'airframe total'
-- then
COMMENT ON COLUMN carriage.until_cycles IS 'airframe total'
-- then
CREATE TABLE certificate_line (
  organisation TEXT COLLATE "C" NOT NULL,
  tracking_number TEXT COLLATE "C" NOT NULL,
  item TEXT COLLATE "C" NOT NULL,
  serial_number TEXT COLLATE "C" NOT NULL,
  part_number TEXT COLLATE "C" NOT NULL,
  unit_id BIGINT,
  status TEXT COLLATE "C" NOT NULL,
  side TEXT COLLATE "C" CONSTRAINT ck_certificate_line_side CHECK (side in ('production', 'maintenance')),
  dated_on BIGINT NOT NULL,
  verdict TEXT COLLATE "C" NOT NULL,
  part_verdict TEXT COLLATE "C" NOT NULL,
  serial_verdict TEXT COLLATE "C" NOT NULL,
  expected_part_number TEXT COLLATE "C",
  expected_serial_number TEXT COLLATE "C",
  entry BIGINT NOT NULL,
  CONSTRAINT pk_certificate_line PRIMARY KEY (organisation, tracking_number, item, serial_number)
)
-- then
CREATE INDEX ix_certificate_line_not_exact ON certificate_line (unit_id) WHERE verdict <> 'exact'
-- then
CREATE INDEX ix_certificate_line_tracking_number ON certificate_line (tracking_number)
-- then
CREATE INDEX ix_certificate_line_unit ON certificate_line (unit_id, dated_on)
-- then
COMMENT ON TABLE certificate_line IS 'Certificate lines with the verdict kept when the paper was filed.'
-- then
COMMENT ON COLUMN certificate_line.serial_number IS 'as printed'
-- then
COMMENT ON COLUMN certificate_line.part_number IS 'as printed'
-- then
COMMENT ON COLUMN certificate_line.unit_id IS 'the unit it is filed against'
-- then
COMMENT ON COLUMN certificate_line.dated_on IS 'ordinal day'
-- then
CREATE TABLE due_point (
  unit_id BIGINT NOT NULL,
  requirement_key BIGINT NOT NULL,
  in_force_from BIGINT NOT NULL,
  in_force_until BIGINT NOT NULL,
  standing TEXT COLLATE "C" NOT NULL CONSTRAINT ck_due_point_standing CHECK (standing in ('known', 'waiting', 'unknown', 'complete', 'no_programme')),
  airframe_id BIGINT,
  whichever TEXT COLLATE "C" NOT NULL CONSTRAINT ck_due_point_whichever CHECK (whichever in ('first', 'last')),
  gate TEXT COLLATE "C" NOT NULL CONSTRAINT ck_due_point_gate CHECK (gate in ('any', 'calendar', 'hours', 'cycles', 'operations')),
  calendar_due BIGINT,
  due_minutes BIGINT,
  due_cycles BIGINT,
  left_minutes BIGINT,
  left_cycles BIGINT,
  operations_left BIGINT,
  passed BIGINT NOT NULL CONSTRAINT ck_due_point_passed CHECK (passed in (0, 1)),
  charged BIGINT NOT NULL CONSTRAINT ck_due_point_charged CHECK (charged in (0, 1)),
  varied_calendar BIGINT,
  varied_minutes BIGINT,
  varied_cycles BIGINT,
  variation TEXT COLLATE "C",
  if_fitted_months BIGINT,
  if_fitted_days BIGINT,
  estimated BIGINT NOT NULL CONSTRAINT ck_due_point_estimated CHECK (estimated in (0, 1)),
  basis TEXT COLLATE "C",
  basis_day BIGINT,
  last_done BIGINT,
  unknown TEXT COLLATE "C",
  no_programme_in_part BIGINT NOT NULL CONSTRAINT ck_due_point_no_programme_in_part CHECK (no_programme_in_part in (0, 1)),
  entry BIGINT NOT NULL,
  CONSTRAINT pk_due_point PRIMARY KEY (unit_id, requirement_key, in_force_from),
  CONSTRAINT ck_due_point_in_force CHECK (in_force_from < in_force_until),
  CONSTRAINT ck_due_point_no_programme CHECK ((standing = 'no_programme') = (requirement_key = 0)),
  CONSTRAINT ck_due_point_cause CHECK (standing <> 'unknown' or unknown is not null)
)
-- then
CREATE INDEX ix_due_point_airframe ON due_point (airframe_id) WHERE airframe_id is not null
-- then
CREATE INDEX ix_due_point_calendar ON due_point (calendar_due) WHERE standing = 'known' and calendar_due is not null and gate in ('any', 'calendar') and in_force_until = 3652059
-- then
CREATE INDEX ix_due_point_cycles ON due_point (airframe_id, due_cycles) WHERE standing = 'known' and airframe_id is not null and due_cycles is not null and gate in ('any', 'cycles') and in_force_until = 3652059
-- then
CREATE INDEX ix_due_point_ending ON due_point (airframe_id, in_force_until) WHERE in_force_until < 3652059
-- then
CREATE INDEX ix_due_point_minutes ON due_point (airframe_id, due_minutes) WHERE standing = 'known' and airframe_id is not null and due_minutes is not null and gate in ('any', 'hours') and in_force_until = 3652059
-- then
CREATE INDEX ix_due_point_no_programme ON due_point (unit_id) WHERE standing = 'no_programme' and in_force_until = 3652059
-- then
CREATE INDEX ix_due_point_nothing_left ON due_point (unit_id) WHERE (passed = 1 or left_minutes <= 0 or left_cycles <= 0 or operations_left <= 0) and in_force_until = 3652059
-- then
CREATE INDEX ix_due_point_requirement ON due_point (requirement_key)
-- then
CREATE INDEX ix_due_point_unknown ON due_point (unit_id) WHERE unknown is not null and in_force_until = 3652059
-- then
COMMENT ON TABLE due_point IS 'When one edition of one requirement falls due on one unit.'
-- then
COMMENT ON COLUMN due_point.requirement_key IS '0 with no programme'
-- then
COMMENT ON COLUMN due_point.in_force_from IS 'ordinal day'
-- then
COMMENT ON COLUMN due_point.in_force_until IS 'ordinal day'
-- then
COMMENT ON COLUMN due_point.airframe_id IS 'the airframe that carries the unit'
-- then
COMMENT ON COLUMN due_point.gate IS 'the measure that finds the row'
-- then
COMMENT ON COLUMN due_point.calendar_due IS 'ordinal day'
-- then
COMMENT ON COLUMN due_point.due_minutes IS 'airframe total at which it falls due'
-- then
COMMENT ON COLUMN due_point.due_cycles IS 'airframe total at which it falls due'
-- then
COMMENT ON COLUMN due_point.left_minutes IS 'when not carried'
-- then
COMMENT ON COLUMN due_point.left_cycles IS 'when not carried'
-- then
COMMENT ON COLUMN due_point.varied_calendar IS 'ordinal day'
-- then
COMMENT ON COLUMN due_point.basis_day IS 'ordinal day'
-- then
COMMENT ON COLUMN due_point.last_done IS 'ordinal day'
-- then
COMMENT ON COLUMN due_point.unknown IS 'JSON list of measure and cause'
-- then
CREATE TABLE eligibility (
  type TEXT COLLATE "C" NOT NULL,
  position TEXT COLLATE "C" NOT NULL,
  part_number TEXT COLLATE "C" NOT NULL,
  serial_from TEXT COLLATE "C",
  serial_to TEXT COLLATE "C",
  requires_modification TEXT COLLATE "C",
  excludes_modification TEXT COLLATE "C",
  requires_unit_modification TEXT COLLATE "C",
  excludes_unit_modification TEXT COLLATE "C",
  effective_from BIGINT,
  reference TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_eligibility PRIMARY KEY (entry_number, entry_item)
)
-- then
CREATE INDEX ix_eligibility_part_number ON eligibility (part_number)
-- then
CREATE INDEX ix_eligibility_type_position ON eligibility (type, position)
-- then
COMMENT ON TABLE eligibility IS 'Which part may be installed at which position. No row: not eligible.'
-- then
COMMENT ON COLUMN eligibility.effective_from IS 'ordinal day'
-- then
CREATE TABLE entry (
  number BIGINT NOT NULL,
  previous TEXT COLLATE "C" NOT NULL,
  kind TEXT COLLATE "C" NOT NULL,
  on_day BIGINT,
  recorded_at TEXT COLLATE "C" NOT NULL,
  recorded_by TEXT COLLATE "C" NOT NULL,
  request_key TEXT COLLATE "C",
  body TEXT COLLATE "C" NOT NULL,
  digest TEXT COLLATE "C" NOT NULL,
  CONSTRAINT pk_entry PRIMARY KEY (number),
  CONSTRAINT uq_entry_digest UNIQUE (digest),
  CONSTRAINT ck_entry_number CHECK (number > 0),
  CONSTRAINT ck_entry_digest CHECK (length(digest) = 64),
  CONSTRAINT ck_entry_recorded_at CHECK (length(recorded_at) = 27)
)
-- then
CREATE INDEX ix_entry_kind ON entry (kind, number)
-- then
CREATE INDEX ix_entry_on_day ON entry (on_day)
-- then
CREATE INDEX ix_entry_recorded_at ON entry (recorded_at, number)
-- then
COMMENT ON TABLE entry IS 'The record. Appended to, never changed.'
-- then
COMMENT ON COLUMN entry.number IS 'place in the chain, from 1 without gaps'
-- then
COMMENT ON COLUMN entry.previous IS 'digest of the entry before'
-- then
COMMENT ON COLUMN entry.on_day IS 'ordinal day of the fact; the first it may mean'
-- then
COMMENT ON COLUMN entry.recorded_at IS 'UTC, microseconds, never falling'
-- then
COMMENT ON COLUMN entry.body IS 'the canonical text'
-- then
COMMENT ON COLUMN entry.digest IS 'SHA-256 of the canonical text'
-- then
CREATE TABLE intermix (
  family TEXT COLLATE "C" NOT NULL,
  other_family TEXT COLLATE "C" NOT NULL,
  permitted BIGINT NOT NULL CONSTRAINT ck_intermix_permitted CHECK (permitted in (0, 1)),
  reference TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_intermix PRIMARY KEY (family, other_family)
)
-- then
COMMENT ON TABLE intermix IS 'What a door pair may carry together.'
-- then
CREATE TABLE ledger_head (
  one BIGINT NOT NULL,
  number BIGINT NOT NULL,
  digest TEXT COLLATE "C" NOT NULL,
  recorded_at TEXT COLLATE "C" NOT NULL,
  CONSTRAINT pk_ledger_head PRIMARY KEY (one),
  CONSTRAINT ck_ledger_head_one CHECK (one = 1),
  CONSTRAINT ck_ledger_head_number CHECK (number >= 0)
)
-- then
COMMENT ON TABLE ledger_head IS 'The last entry; the writers'' lock. Moved by the entries themselves.'
-- then
COMMENT ON COLUMN ledger_head.one IS 'always 1: there is one head'
-- then
CREATE TABLE part (
  part_number TEXT COLLATE "C" NOT NULL,
  manufacturer TEXT COLLATE "C",
  description TEXT COLLATE "C",
  kind TEXT COLLATE "C",
  rig TEXT COLLATE "C" CONSTRAINT ck_part_rig CHECK (rig in ('either', 'left', 'right', 'none')),
  mass_grams BIGINT,
  intermix_family TEXT COLLATE "C",
  cage TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_part PRIMARY KEY (entry_number, entry_item)
)
-- then
CREATE INDEX ix_part_part_number ON part (part_number)
-- then
COMMENT ON TABLE part IS 'Part numbers.'
-- then
CREATE TABLE placement (
  unit_id BIGINT NOT NULL,
  from_moment BIGINT NOT NULL,
  until_moment BIGINT,
  kind TEXT COLLATE "C" NOT NULL CONSTRAINT ck_placement_kind CHECK (kind in ('position', 'slot', 'store', 'shop', 'loan', 'scrap', 'unknown')),
  place_key BIGINT,
  airframe_id BIGINT,
  position TEXT COLLATE "C",
  parent_id BIGINT,
  slot TEXT COLLATE "C",
  place_name TEXT COLLATE "C",
  bin TEXT COLLATE "C",
  condition TEXT COLLATE "C" CONSTRAINT ck_placement_condition CHECK (condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  hold TEXT COLLATE "C",
  harness TEXT COLLATE "C" CONSTRAINT ck_placement_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  removal_kind TEXT COLLATE "C",
  expected_back BIGINT,
  until_known BIGINT NOT NULL CONSTRAINT ck_placement_until_known CHECK (until_known in (0, 1)),
  entry BIGINT NOT NULL,
  until_entry BIGINT,
  CONSTRAINT pk_placement PRIMARY KEY (unit_id, from_moment),
  CONSTRAINT ck_placement_lasts CHECK (until_moment is null or until_moment > from_moment),
  CONSTRAINT ck_placement_place_key CHECK ((place_key is not null) = (kind in ('position', 'slot'))),
  CONSTRAINT ck_placement_airframe_id CHECK ((kind = 'position') = (airframe_id is not null)),
  CONSTRAINT ck_placement_parent_id CHECK ((kind = 'slot') = (parent_id is not null)),
  CONSTRAINT ck_placement_not_in_itself CHECK (parent_id is null or parent_id <> unit_id)
)
-- then
CREATE INDEX ix_placement_airframe ON placement (airframe_id, from_moment) WHERE airframe_id is not null
-- then
CREATE UNIQUE INDEX ix_placement_one_open_a_place ON placement (place_key) WHERE until_moment is null and place_key is not null
-- then
CREATE UNIQUE INDEX ix_placement_one_open_a_unit ON placement (unit_id) WHERE until_moment is null
-- then
CREATE INDEX ix_placement_parent ON placement (parent_id, from_moment) WHERE parent_id is not null
-- then
CREATE UNIQUE INDEX ix_placement_place ON placement (place_key, from_moment) WHERE place_key is not null
-- then
COMMENT ON TABLE placement IS 'Stays of units at places.'
-- then
COMMENT ON COLUMN placement.from_moment IS 'day * 10000 + sequence'
-- then
COMMENT ON COLUMN placement.until_moment IS 'open when null'
-- then
COMMENT ON COLUMN placement.place_key IS 'natural key of a position or slot'
-- then
COMMENT ON COLUMN placement.expected_back IS 'ordinal day'
-- then
CREATE TABLE position (
  type TEXT COLLATE "C" NOT NULL,
  position TEXT COLLATE "C" NOT NULL,
  side TEXT COLLATE "C" NOT NULL CONSTRAINT ck_position_side CHECK (side in ('left', 'right', 'centre')),
  harness TEXT COLLATE "C" CONSTRAINT ck_position_harness CHECK (harness in ('left', 'right')),
  pair TEXT COLLATE "C",
  kind TEXT COLLATE "C",
  required BIGINT NOT NULL CONSTRAINT ck_position_required CHECK (required in (0, 1)),
  retained TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_position PRIMARY KEY (type, position)
)
-- then
COMMENT ON TABLE position IS 'Places of an airframe type that hold one unit each.'
-- then
COMMENT ON COLUMN position.harness IS 'the side a unit there must be rigged for'
-- then
CREATE TABLE pressure (
  part_number TEXT COLLATE "C" NOT NULL,
  celsius BIGINT NOT NULL,
  minimum BIGINT NOT NULL,
  maximum BIGINT NOT NULL,
  unit TEXT COLLATE "C",
  reference TEXT COLLATE "C",
  revision TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_pressure PRIMARY KEY (part_number, celsius)
)
-- then
COMMENT ON TABLE pressure IS 'Permitted pressure for a temperature.'
-- then
COMMENT ON COLUMN pressure.unit IS 'unit of measure of the two bounds'
-- then
CREATE TABLE reading (
  airframe BIGINT NOT NULL,
  read_on BIGINT NOT NULL,
  minutes BIGINT NOT NULL,
  cycles BIGINT NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_reading PRIMARY KEY (airframe, read_on),
  CONSTRAINT ck_reading_minutes CHECK (minutes >= 0),
  CONSTRAINT ck_reading_cycles CHECK (cycles >= 0)
)
-- then
COMMENT ON TABLE reading IS 'Totals of an airframe at the end of a day.'
-- then
COMMENT ON COLUMN reading.read_on IS 'ordinal day'
-- then
CREATE TABLE reading_history (
  airframe BIGINT NOT NULL,
  read_on BIGINT NOT NULL,
  minutes BIGINT NOT NULL,
  cycles BIGINT NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  standing TEXT COLLATE "C" NOT NULL CONSTRAINT ck_reading_history_standing CHECK (standing in ('replaced', 'withdrawn')),
  retired_by BIGINT NOT NULL,
  CONSTRAINT pk_reading_history PRIMARY KEY (entry_number, entry_item)
)
-- then
CREATE INDEX ix_reading_history_airframe_read_on ON reading_history (airframe, read_on)
-- then
COMMENT ON TABLE reading_history IS 'Readings that no longer stand.'
-- then
COMMENT ON COLUMN reading_history.read_on IS 'ordinal day'
-- then
COMMENT ON COLUMN reading_history.retired_by IS 'the entry that replaced or withdrew it'
-- then
CREATE TABLE request (
  request_key TEXT COLLATE "C" NOT NULL,
  request_digest TEXT COLLATE "C" NOT NULL,
  first_number BIGINT NOT NULL,
  last_number BIGINT NOT NULL,
  CONSTRAINT pk_request PRIMARY KEY (request_key),
  CONSTRAINT ck_request_numbers CHECK (first_number <= last_number)
)
-- then
COMMENT ON TABLE request IS 'Requests answered, so that asking again gives the same answer.'
-- then
COMMENT ON COLUMN request.request_digest IS 'digest of what was asked'
-- then
CREATE TABLE requirement (
  requirement TEXT COLLATE "C" NOT NULL,
  part_number TEXT COLLATE "C" NOT NULL,
  kind TEXT COLLATE "C" NOT NULL CONSTRAINT ck_requirement_kind CHECK (kind in ('overhaul', 'requalification', 'inspection', 'functional_test', 'replacement', 'life_limit', 'storage', 'soft_life', 'on_condition')),
  source TEXT COLLATE "C" CONSTRAINT ck_requirement_source CHECK (source in ('airworthiness_limitation', 'certification_maintenance', 'directive', 'dangerous_goods', 'manufacturer', 'programme', 'operator')),
  programme TEXT COLLATE "C",
  edition TEXT COLLATE "C",
  effective_from BIGINT,
  effective_to BIGINT,
  start TEXT COLLATE "C" CONSTRAINT ck_requirement_start CHECK (start in ('manufacture', 'cure', 'release', 'first_installation', 'installation', 'each_installation')),
  first_months BIGINT,
  first_days BIGINT,
  first_minutes BIGINT,
  first_cycles BIGINT,
  first_operations BIGINT,
  repeat_months BIGINT,
  repeat_days BIGINT,
  repeat_minutes BIGINT,
  repeat_cycles BIGINT,
  repeat_operations BIGINT,
  operation TEXT COLLATE "C",
  whichever TEXT COLLATE "C" CONSTRAINT ck_requirement_whichever CHECK (whichever in ('first', 'last')),
  month_rule TEXT COLLATE "C" CONSTRAINT ck_requirement_month_rule CHECK (month_rule in ('last')),
  shelf_allowance_months BIGINT,
  done_at TEXT COLLATE "C" CONSTRAINT ck_requirement_done_at CHECK (done_at in ('shop', 'aircraft')),
  anchor TEXT COLLATE "C" CONSTRAINT ck_requirement_anchor CHECK (anchor in ('done', 'due')),
  window_early_days BIGINT,
  window_early_minutes BIGINT,
  window_early_cycles BIGINT,
  window_late_days BIGINT,
  window_late_minutes BIGINT,
  window_late_cycles BIGINT,
  variation_allowed BIGINT NOT NULL CONSTRAINT ck_requirement_variation_allowed CHECK (variation_allowed in (0, 1)),
  at_due TEXT COLLATE "C" CONSTRAINT ck_requirement_at_due CHECK (at_due in ('remove', 'no-refill')),
  resets TEXT COLLATE "C",
  requires_unit_modification TEXT COLLATE "C",
  reference TEXT COLLATE "C",
  requirement_key BIGINT NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_requirement PRIMARY KEY (requirement_key)
)
-- then
CREATE INDEX ix_requirement_part_number ON requirement (part_number)
-- then
COMMENT ON TABLE requirement IS 'What must be done to units of a part, and when, by programme edition.'
-- then
COMMENT ON COLUMN requirement.effective_from IS 'ordinal day'
-- then
COMMENT ON COLUMN requirement.effective_to IS 'ordinal day'
-- then
COMMENT ON COLUMN requirement.requirement_key IS 'natural key of the edition as one number'
-- then
CREATE TABLE slot (
  part_number TEXT COLLATE "C" NOT NULL,
  slot TEXT COLLATE "C" NOT NULL,
  child_part_number TEXT COLLATE "C" NOT NULL,
  required BIGINT NOT NULL CONSTRAINT ck_slot_required CHECK (required in (0, 1)),
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_slot PRIMARY KEY (part_number, slot, child_part_number)
)
-- then
COMMENT ON TABLE slot IS 'Named slots of an assembly and what may be in them.'
-- then
CREATE TABLE unit_state (
  unit_id BIGINT NOT NULL,
  part_number TEXT COLLATE "C" NOT NULL,
  serial_number TEXT COLLATE "C" NOT NULL,
  manufacturer TEXT COLLATE "C",
  kind TEXT COLLATE "C" NOT NULL CONSTRAINT ck_unit_state_kind CHECK (kind in ('position', 'slot', 'store', 'shop', 'loan', 'scrap', 'unknown')),
  since_moment BIGINT NOT NULL,
  airframe_id BIGINT,
  position TEXT COLLATE "C",
  parent_id BIGINT,
  slot TEXT COLLATE "C",
  place_name TEXT COLLATE "C",
  bin TEXT COLLATE "C",
  carried_airframe_id BIGINT,
  root_id BIGINT,
  condition TEXT COLLATE "C" NOT NULL CONSTRAINT ck_unit_state_condition CHECK (condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  hold TEXT COLLATE "C",
  harness TEXT COLLATE "C" NOT NULL CONSTRAINT ck_unit_state_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  minutes_since_new BIGINT,
  cycles_since_new BIGINT,
  released_on BIGINT,
  release_status TEXT COLLATE "C",
  release_certificate TEXT COLLATE "C",
  covered_by BIGINT,
  removed_on BIGINT,
  life_quality TEXT COLLATE "C",
  part_fold TEXT COLLATE "C" NOT NULL,
  serial_fold TEXT COLLATE "C" NOT NULL,
  CONSTRAINT pk_unit_state PRIMARY KEY (unit_id)
)
-- then
CREATE INDEX ix_unit_state_airframe ON unit_state (airframe_id, position) WHERE airframe_id is not null
-- then
CREATE INDEX ix_unit_state_carried ON unit_state (carried_airframe_id) WHERE carried_airframe_id is not null
-- then
CREATE INDEX ix_unit_state_parent ON unit_state (parent_id) WHERE parent_id is not null
-- then
CREATE INDEX ix_unit_state_part ON unit_state (part_fold, kind)
-- then
CREATE INDEX ix_unit_state_serial ON unit_state (serial_fold)
-- then
COMMENT ON TABLE unit_state IS 'What a unit is now.'
-- then
COMMENT ON COLUMN unit_state.part_number IS 'the current one'
-- then
COMMENT ON COLUMN unit_state.released_on IS 'ordinal day'
-- then
COMMENT ON COLUMN unit_state.removed_on IS 'ordinal day'
-- then
COMMENT ON COLUMN unit_state.part_fold IS 'part_number, folded'
-- then
COMMENT ON COLUMN unit_state.serial_fold IS 'serial_number, folded'
-- then
CREATE TABLE waiver (
  finding TEXT COLLATE "C" NOT NULL,
  subject TEXT COLLATE "C" NOT NULL,
  reason TEXT COLLATE "C" NOT NULL,
  approved_by TEXT COLLATE "C" NOT NULL,
  expires_on BIGINT NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_waiver PRIMARY KEY (finding, subject)
)
-- then
COMMENT ON TABLE waiver IS 'Findings accepted until a day, by name and reason.'
-- then
COMMENT ON COLUMN waiver.expires_on IS 'ordinal day'
-- then
CREATE TABLE airframe_modification (
  airframe BIGINT NOT NULL,
  modification TEXT COLLATE "C" NOT NULL,
  embodied_on BIGINT NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_airframe_modification PRIMARY KEY (airframe, modification),
  CONSTRAINT fk_airframe_modification_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE airframe_modification IS 'Modifications embodied on airframes.'
-- then
COMMENT ON COLUMN airframe_modification.embodied_on IS 'ordinal day'
-- then
CREATE TABLE deferral (
  airframe BIGINT NOT NULL,
  position TEXT COLLATE "C" NOT NULL,
  opened BIGINT NOT NULL,
  item TEXT COLLATE "C" NOT NULL,
  expires BIGINT,
  log_page TEXT COLLATE "C",
  conditions TEXT COLLATE "C",
  authorised_by TEXT COLLATE "C",
  closed BIGINT,
  closed_by TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_deferral PRIMARY KEY (airframe, position, opened, item),
  CONSTRAINT ck_deferral_closed CHECK (closed is null or closed >= opened),
  CONSTRAINT fk_deferral_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE deferral IS 'Inoperative items carried under the operator''s minimum-equipment provisions, as entered.'
-- then
COMMENT ON COLUMN deferral.opened IS 'ordinal day'
-- then
COMMENT ON COLUMN deferral.item IS 'the item of the operator''s minimum-equipment provisions'
-- then
COMMENT ON COLUMN deferral.expires IS 'ordinal day'
-- then
COMMENT ON COLUMN deferral.closed IS 'ordinal day'
-- then
CREATE TABLE entry_touch (
  unit_id BIGINT NOT NULL,
  number BIGINT NOT NULL,
  CONSTRAINT pk_entry_touch PRIMARY KEY (unit_id, number),
  CONSTRAINT fk_entry_touch_number FOREIGN KEY(number) REFERENCES entry (number)
)
-- then
CREATE INDEX ix_entry_touch_number ON entry_touch (number, unit_id)
-- then
COMMENT ON TABLE entry_touch IS 'Which units an entry touches.'
-- then
CREATE TABLE entry_touch_airframe (
  airframe_id BIGINT NOT NULL,
  number BIGINT NOT NULL,
  CONSTRAINT pk_entry_touch_airframe PRIMARY KEY (airframe_id, number),
  CONSTRAINT fk_entry_touch_airframe_number FOREIGN KEY(number) REFERENCES entry (number)
)
-- then
CREATE INDEX ix_entry_touch_airframe_number ON entry_touch_airframe (number, airframe_id)
-- then
COMMENT ON TABLE entry_touch_airframe IS 'Which airframes an entry touches.'
-- then
CREATE TABLE fact (
  number BIGINT NOT NULL,
  item BIGINT NOT NULL,
  fact_key TEXT COLLATE "C" NOT NULL,
  fact_digest TEXT COLLATE "C" NOT NULL,
  standing TEXT COLLATE "C" NOT NULL,
  retired_by BIGINT,
  CONSTRAINT pk_fact PRIMARY KEY (number, item),
  CONSTRAINT ck_fact_standing CHECK (standing in ('stands', 'replaced', 'withdrawn')),
  CONSTRAINT ck_fact_retired_by CHECK ((standing = 'stands') = (retired_by is null)),
  CONSTRAINT fk_fact_number FOREIGN KEY(number) REFERENCES entry (number)
)
-- then
CREATE UNIQUE INDEX ix_fact_one_stands ON fact (fact_key) WHERE standing = 'stands'
-- then
CREATE INDEX ix_fact_retired ON fact (fact_key) WHERE standing <> 'stands'
-- then
CREATE INDEX ix_fact_retired_by ON fact (retired_by) WHERE retired_by is not null
-- then
COMMENT ON TABLE fact IS 'Every fact ever stated but readings, which have their own table and history.'
-- then
COMMENT ON COLUMN fact.fact_key IS 'kind and natural key'
-- then
COMMENT ON COLUMN fact.fact_digest IS 'digest of what it says'
-- then
COMMENT ON COLUMN fact.retired_by IS 'the entry that replaced or withdrew it'
-- then
CREATE TABLE registration (
  airframe BIGINT NOT NULL,
  registration TEXT COLLATE "C" NOT NULL,
  registered_from BIGINT NOT NULL,
  registered_until BIGINT,
  registration_fold TEXT COLLATE "C" NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_registration PRIMARY KEY (airframe, registered_from),
  CONSTRAINT fk_registration_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
CREATE INDEX ix_registration_registration_fold ON registration (registration_fold)
-- then
COMMENT ON TABLE registration IS 'Registrations by period.'
-- then
COMMENT ON COLUMN registration.registered_from IS 'ordinal day'
-- then
COMMENT ON COLUMN registration.registered_until IS 'ordinal day'
-- then
COMMENT ON COLUMN registration.registration_fold IS 'registration, folded'
-- then
CREATE TABLE safety_device (
  airframe BIGINT NOT NULL,
  position TEXT COLLATE "C" NOT NULL,
  device TEXT COLLATE "C" NOT NULL,
  fitted_moment BIGINT NOT NULL,
  fitted_by TEXT COLLATE "C" NOT NULL,
  removed_moment BIGINT,
  removed_by TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_safety_device PRIMARY KEY (airframe, position, device, fitted_moment),
  CONSTRAINT ck_safety_device_removed_moment CHECK (removed_moment is null or removed_moment >= fitted_moment),
  CONSTRAINT fk_safety_device_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE safety_device IS 'Devices put in to make the work safe and taken out before release.'
-- then
CREATE TABLE unit (
  unit BIGINT NOT NULL,
  part_number TEXT COLLATE "C" NOT NULL,
  serial_number TEXT COLLATE "C" NOT NULL,
  manufacturer TEXT COLLATE "C",
  manufactured TEXT COLLATE "C",
  cured TEXT COLLATE "C",
  expires TEXT COLLATE "C",
  first_installed TEXT COLLATE "C",
  minutes_since_new BIGINT,
  cycles_since_new BIGINT,
  operations_since_new BIGINT,
  as_of BIGINT NOT NULL,
  place TEXT COLLATE "C" NOT NULL CONSTRAINT ck_unit_place CHECK (place in ('position', 'slot', 'store', 'shop', 'loan', 'scrap', 'unknown')),
  airframe BIGINT,
  position TEXT COLLATE "C",
  parent BIGINT,
  slot TEXT COLLATE "C",
  place_name TEXT COLLATE "C",
  bin TEXT COLLATE "C",
  placed_on BIGINT,
  condition TEXT COLLATE "C" CONSTRAINT ck_unit_condition CHECK (condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  hold TEXT COLLATE "C",
  harness TEXT COLLATE "C" CONSTRAINT ck_unit_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  life_quality TEXT COLLATE "C" CONSTRAINT ck_unit_life_quality CHECK (life_quality in ('documented', 'rebuilt', 'estimated')),
  owner TEXT COLLATE "C",
  return_by BIGINT,
  batch TEXT COLLATE "C",
  source TEXT COLLATE "C",
  part_fold TEXT COLLATE "C" NOT NULL,
  serial_fold TEXT COLLATE "C" NOT NULL,
  manufacturer_fold TEXT COLLATE "C" NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_unit PRIMARY KEY (unit),
  CONSTRAINT uq_unit_identity UNIQUE (serial_fold, part_fold, manufacturer_fold),
  CONSTRAINT ck_unit_parent CHECK (parent is null or parent <> unit),
  CONSTRAINT fk_unit_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_unit_parent FOREIGN KEY(parent) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
CREATE INDEX ix_unit_airframe ON unit (airframe) WHERE airframe is not null
-- then
CREATE INDEX ix_unit_parent ON unit (parent) WHERE parent is not null
-- then
CREATE INDEX ix_unit_part_fold ON unit (part_fold)
-- then
COMMENT ON TABLE unit IS 'Opening statements: one a unit.'
-- then
COMMENT ON COLUMN unit.part_number IS 'at manufacture'
-- then
COMMENT ON COLUMN unit.manufactured IS 'partial date'
-- then
COMMENT ON COLUMN unit.cured IS 'partial date'
-- then
COMMENT ON COLUMN unit.expires IS 'partial date'
-- then
COMMENT ON COLUMN unit.first_installed IS 'partial date'
-- then
COMMENT ON COLUMN unit.as_of IS 'ordinal day'
-- then
COMMENT ON COLUMN unit.placed_on IS 'ordinal day'
-- then
COMMENT ON COLUMN unit.return_by IS 'ordinal day'
-- then
COMMENT ON COLUMN unit.part_fold IS 'part_number, folded'
-- then
COMMENT ON COLUMN unit.serial_fold IS 'serial_number, folded'
-- then
COMMENT ON COLUMN unit.manufacturer_fold IS 'manufacturer, folded'
-- then
CREATE TABLE utilisation (
  airframe BIGINT NOT NULL,
  planned_from BIGINT NOT NULL,
  planned_to BIGINT NOT NULL,
  minutes_per_day BIGINT NOT NULL,
  millicycles_per_day BIGINT NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_utilisation PRIMARY KEY (airframe, planned_from),
  CONSTRAINT ck_utilisation_period CHECK (planned_from <= planned_to),
  CONSTRAINT ck_utilisation_rates CHECK (minutes_per_day >= 0 and millicycles_per_day >= 0),
  CONSTRAINT fk_utilisation_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE utilisation IS 'Planned utilisation of a period, both days included.'
-- then
COMMENT ON COLUMN utilisation.planned_from IS 'ordinal day'
-- then
COMMENT ON COLUMN utilisation.planned_to IS 'ordinal day'
-- then
COMMENT ON COLUMN utilisation.millicycles_per_day IS 'thousandths of a cycle a day'
-- then
CREATE TABLE accomplishment (
  unit BIGINT NOT NULL,
  requirement TEXT COLLATE "C" NOT NULL,
  done_on TEXT COLLATE "C" NOT NULL,
  date_basis TEXT COLLATE "C" CONSTRAINT ck_accomplishment_date_basis CHECK (date_basis in ('release', 'mark', 'log')),
  minutes_since_new BIGINT,
  cycles_since_new BIGINT,
  operations_since_new BIGINT,
  minutes_since BIGINT,
  cycles_since BIGINT,
  operations_since BIGINT,
  stated_due BIGINT,
  certificate TEXT COLLATE "C",
  certificate_organisation TEXT COLLATE "C",
  sequence BIGINT,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_accomplishment PRIMARY KEY (entry_number, entry_item),
  CONSTRAINT fk_accomplishment_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
CREATE INDEX ix_accomplishment_certificate ON accomplishment (certificate) WHERE certificate is not null
-- then
CREATE INDEX ix_accomplishment_unit ON accomplishment (unit, requirement, done_on)
-- then
COMMENT ON TABLE accomplishment IS 'Requirements done.'
-- then
COMMENT ON COLUMN accomplishment.done_on IS 'partial date'
-- then
COMMENT ON COLUMN accomplishment.stated_due IS 'ordinal day'
-- then
CREATE TABLE certificate (
  tracking_number TEXT COLLATE "C" NOT NULL,
  organisation TEXT COLLATE "C" NOT NULL,
  part_number TEXT COLLATE "C" NOT NULL,
  serial_number TEXT COLLATE "C" NOT NULL,
  status TEXT COLLATE "C" NOT NULL,
  dated_on BIGINT NOT NULL,
  form TEXT COLLATE "C",
  side TEXT COLLATE "C" CONSTRAINT ck_certificate_side CHECK (side in ('production', 'maintenance')),
  item TEXT COLLATE "C",
  authority TEXT COLLATE "C",
  approval TEXT COLLATE "C",
  work_order TEXT COLLATE "C",
  description TEXT COLLATE "C",
  quantity BIGINT,
  batch TEXT COLLATE "C",
  remarks TEXT COLLATE "C",
  signatory TEXT COLLATE "C",
  minutes_since_new BIGINT,
  cycles_since_new BIGINT,
  corrects TEXT COLLATE "C",
  document TEXT COLLATE "C",
  unit BIGINT,
  filed_stated BIGINT NOT NULL CONSTRAINT ck_certificate_filed_stated CHECK (filed_stated in (0, 1)),
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_certificate PRIMARY KEY (entry_number, entry_item),
  CONSTRAINT fk_certificate_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
CREATE INDEX ix_certificate_tracking_number ON certificate (tracking_number, organisation)
-- then
CREATE INDEX ix_certificate_unit ON certificate (unit) WHERE unit is not null
-- then
COMMENT ON TABLE certificate IS 'Lines of release certificates.'
-- then
COMMENT ON COLUMN certificate.part_number IS 'as printed'
-- then
COMMENT ON COLUMN certificate.serial_number IS 'as printed'
-- then
COMMENT ON COLUMN certificate.dated_on IS 'ordinal day'
-- then
CREATE TABLE movement (
  airframe BIGINT NOT NULL,
  position TEXT COLLATE "C" NOT NULL,
  moved_on BIGINT NOT NULL,
  sequence BIGINT NOT NULL,
  time_utc TEXT COLLATE "C",
  station TEXT COLLATE "C",
  removed BIGINT,
  removed_to TEXT COLLATE "C" CONSTRAINT ck_movement_removed_to CHECK (removed_to in ('store', 'shop', 'loan', 'scrap', 'unknown')),
  removed_to_name TEXT COLLATE "C",
  removed_condition TEXT COLLATE "C" CONSTRAINT ck_movement_removed_condition CHECK (removed_condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  removal_kind TEXT COLLATE "C" CONSTRAINT ck_movement_removal_kind CHECK (removal_kind in ('scheduled', 'unscheduled', 'convenience', 'access', 'robbery', 'loan_return', 'modification')),
  defect TEXT COLLATE "C",
  installed BIGINT,
  found BIGINT NOT NULL CONSTRAINT ck_movement_found CHECK (found in (0, 1)),
  displaced BIGINT,
  minutes_total BIGINT,
  cycles_total BIGINT,
  certificate TEXT COLLATE "C",
  certificate_organisation TEXT COLLATE "C",
  harness TEXT COLLATE "C" CONSTRAINT ck_movement_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  technical_log TEXT COLLATE "C",
  work_order TEXT COLLATE "C",
  data_reference TEXT COLLATE "C",
  data_revision TEXT COLLATE "C",
  signed_by TEXT COLLATE "C",
  inspected_by TEXT COLLATE "C",
  released_by TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_movement PRIMARY KEY (airframe, position, moved_on, sequence),
  CONSTRAINT ck_movement_names_a_unit CHECK (removed is not null or installed is not null),
  CONSTRAINT ck_movement_sequence CHECK (sequence between 0 and 9999),
  CONSTRAINT ck_movement_totals CHECK (minutes_total >= 0 and cycles_total >= 0),
  CONSTRAINT fk_movement_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_movement_removed FOREIGN KEY(removed) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_movement_installed FOREIGN KEY(installed) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_movement_displaced FOREIGN KEY(displaced) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
CREATE INDEX ix_movement_airframe_moved_on ON movement (airframe, moved_on)
-- then
CREATE INDEX ix_movement_cycles_total ON movement (airframe, moved_on, sequence, cycles_total) WHERE cycles_total is not null
-- then
CREATE INDEX ix_movement_displaced ON movement (displaced) WHERE displaced is not null
-- then
CREATE INDEX ix_movement_installed ON movement (installed) WHERE installed is not null
-- then
CREATE INDEX ix_movement_minutes_total ON movement (airframe, moved_on, sequence, minutes_total) WHERE minutes_total is not null
-- then
CREATE INDEX ix_movement_removed ON movement (removed) WHERE removed is not null
-- then
COMMENT ON TABLE movement IS 'Removals, installations and swaps at a position.'
-- then
COMMENT ON COLUMN movement.moved_on IS 'ordinal day'
-- then
CREATE TABLE operation (
  unit BIGINT NOT NULL,
  operated_on BIGINT NOT NULL,
  operation TEXT COLLATE "C" NOT NULL,
  count BIGINT NOT NULL,
  reference TEXT COLLATE "C",
  sequence BIGINT,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_operation PRIMARY KEY (entry_number, entry_item),
  CONSTRAINT fk_operation_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
CREATE INDEX ix_operation_unit ON operation (unit, operated_on)
-- then
COMMENT ON TABLE operation IS 'Fillings, pressurisations, activations counted on a unit.'
-- then
COMMENT ON COLUMN operation.operated_on IS 'ordinal day'
-- then
CREATE TABLE transfer (
  unit BIGINT NOT NULL,
  moved_on BIGINT NOT NULL,
  sequence BIGINT NOT NULL,
  target TEXT COLLATE "C" NOT NULL CONSTRAINT ck_transfer_target CHECK (target in ('store', 'shop', 'parent', 'loan', 'scrap', 'unknown')),
  organisation TEXT COLLATE "C",
  store TEXT COLLATE "C",
  bin TEXT COLLATE "C",
  parent BIGINT,
  slot TEXT COLLATE "C",
  condition TEXT COLLATE "C" CONSTRAINT ck_transfer_condition CHECK (condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  hold TEXT COLLATE "C",
  harness TEXT COLLATE "C" CONSTRAINT ck_transfer_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  "order" TEXT COLLATE "C",
  expected_back BIGINT,
  certificate TEXT COLLATE "C",
  certificate_organisation TEXT COLLATE "C",
  reference TEXT COLLATE "C",
  signed_by TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_transfer PRIMARY KEY (unit, moved_on, sequence),
  CONSTRAINT ck_transfer_sequence CHECK (sequence between 0 and 9999),
  CONSTRAINT ck_transfer_parent CHECK (parent is null or parent <> unit),
  CONSTRAINT fk_transfer_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_transfer_parent FOREIGN KEY(parent) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
CREATE INDEX ix_transfer_parent ON transfer (parent) WHERE parent is not null
-- then
COMMENT ON TABLE transfer IS 'Changes of place that are no movement at a position.'
-- then
COMMENT ON COLUMN transfer.moved_on IS 'ordinal day'
-- then
COMMENT ON COLUMN transfer.expected_back IS 'ordinal day'
-- then
CREATE TABLE unit_modification (
  unit BIGINT NOT NULL,
  modification TEXT COLLATE "C" NOT NULL,
  embodied_on BIGINT NOT NULL,
  new_part_number TEXT COLLATE "C",
  certificate TEXT COLLATE "C",
  certificate_organisation TEXT COLLATE "C",
  reference TEXT COLLATE "C",
  new_part_fold TEXT COLLATE "C" NOT NULL,
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_unit_modification PRIMARY KEY (unit, modification),
  CONSTRAINT fk_unit_modification_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
CREATE INDEX ix_unit_modification_new_part_fold ON unit_modification (new_part_fold) WHERE new_part_fold <> ''
-- then
COMMENT ON TABLE unit_modification IS 'Modifications of units; some give a new part number.'
-- then
COMMENT ON COLUMN unit_modification.embodied_on IS 'ordinal day'
-- then
COMMENT ON COLUMN unit_modification.new_part_fold IS 'new_part_number, folded'
-- then
CREATE TABLE variation (
  unit BIGINT NOT NULL,
  requirement TEXT COLLATE "C" NOT NULL,
  until_on BIGINT,
  until_minutes BIGINT,
  until_cycles BIGINT,
  approved_on BIGINT,
  approved_by TEXT COLLATE "C",
  reference TEXT COLLATE "C",
  entry_number BIGINT NOT NULL,
  entry_item BIGINT NOT NULL,
  CONSTRAINT pk_variation PRIMARY KEY (entry_number, entry_item),
  CONSTRAINT fk_variation_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
CREATE INDEX ix_variation_unit ON variation (unit, requirement)
-- then
COMMENT ON TABLE variation IS 'Permitted variations: approved one-time extensions.'
-- then
COMMENT ON COLUMN variation.until_on IS 'ordinal day'
-- then
COMMENT ON COLUMN variation.approved_on IS 'ordinal day'
