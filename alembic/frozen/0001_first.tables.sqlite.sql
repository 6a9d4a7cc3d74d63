CREATE TABLE airframe (
  airframe INTEGER NOT NULL,
  registration TEXT NOT NULL,
  constructor_serial TEXT NOT NULL,
  type TEXT NOT NULL,
  manufactured TEXT,
  operator TEXT,
  station TEXT,
  programme TEXT,
  registered_from INTEGER,
  registered_until INTEGER,
  status TEXT CONSTRAINT ck_airframe_status CHECK (status in ('in_service', 'parked', 'withdrawn')),
  registration_fold TEXT NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_airframe PRIMARY KEY (airframe),
  CONSTRAINT uq_airframe_constructor_serial UNIQUE (constructor_serial)
)
 STRICT
-- then
CREATE INDEX ix_airframe_registration_fold ON airframe (registration_fold)
-- then
CREATE TABLE airframe_type (
  type TEXT NOT NULL,
  name TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_airframe_type PRIMARY KEY (type)
)
 STRICT
-- then
CREATE TABLE alternate (
  part_number TEXT NOT NULL,
  alternate TEXT NOT NULL,
  direction TEXT NOT NULL CONSTRAINT ck_alternate_direction CHECK (direction in ('one-way', 'two-way', 'supersedes')),
  conditions TEXT,
  reference TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_alternate PRIMARY KEY (part_number, alternate)
)
 STRICT
-- then
CREATE TABLE band (
  requirement TEXT NOT NULL,
  part_number TEXT NOT NULL,
  programme TEXT,
  edition TEXT,
  from_age_months INTEGER NOT NULL,
  repeat_months INTEGER,
  repeat_minutes INTEGER,
  repeat_cycles INTEGER,
  band_rule TEXT CONSTRAINT ck_band_band_rule CHECK (band_rule in ('cap', 'basis')),
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_band PRIMARY KEY (entry_number, entry_item)
)
 STRICT
-- then
CREATE INDEX ix_band_part_number ON band (part_number)
-- then
CREATE TABLE carriage (
  unit_id INTEGER NOT NULL,
  from_moment INTEGER NOT NULL,
  until_moment INTEGER,
  airframe_id INTEGER NOT NULL,
  root_id INTEGER NOT NULL,
  from_minutes INTEGER,
  from_cycles INTEGER,
  until_minutes INTEGER,
  until_cycles INTEGER,
  from_basis TEXT NOT NULL CONSTRAINT ck_carriage_from_basis CHECK (from_basis in ('stated', 'bounded', 'provisional', 'opening', 'doubtful', 'open')),
  until_basis TEXT NOT NULL CONSTRAINT ck_carriage_until_basis CHECK (until_basis in ('stated', 'bounded', 'provisional', 'opening', 'doubtful', 'open')),
  entry INTEGER NOT NULL,
  CONSTRAINT pk_carriage PRIMARY KEY (unit_id, from_moment),
  CONSTRAINT ck_carriage_lasts CHECK (until_moment is null or until_moment > from_moment),
  CONSTRAINT ck_carriage_never_falls CHECK (until_minutes >= from_minutes and until_cycles >= from_cycles)
)
 WITHOUT ROWID,
 STRICT
-- then
CREATE INDEX ix_carriage_airframe ON carriage (airframe_id, from_moment)
-- then
CREATE INDEX ix_carriage_not_stated ON carriage (airframe_id, unit_id) WHERE from_basis in ('bounded', 'provisional') or until_basis in ('bounded', 'provisional', 'doubtful')
-- then
CREATE UNIQUE INDEX ix_carriage_one_open_a_unit ON carriage (unit_id) WHERE until_moment is null
-- then
CREATE TABLE certificate_line (
  organisation TEXT NOT NULL,
  tracking_number TEXT NOT NULL,
  item TEXT NOT NULL,
  serial_number TEXT NOT NULL,
  part_number TEXT NOT NULL,
  unit_id INTEGER,
  status TEXT NOT NULL,
  side TEXT CONSTRAINT ck_certificate_line_side CHECK (side in ('production', 'maintenance')),
  dated_on INTEGER NOT NULL,
  verdict TEXT NOT NULL,
  part_verdict TEXT NOT NULL,
  serial_verdict TEXT NOT NULL,
  expected_part_number TEXT,
  expected_serial_number TEXT,
  entry INTEGER NOT NULL,
  CONSTRAINT pk_certificate_line PRIMARY KEY (organisation, tracking_number, item, serial_number)
)
 STRICT
-- then
CREATE INDEX ix_certificate_line_not_exact ON certificate_line (unit_id) WHERE verdict <> 'exact'
-- then
CREATE INDEX ix_certificate_line_tracking_number ON certificate_line (tracking_number)
-- then
CREATE INDEX ix_certificate_line_unit ON certificate_line (unit_id, dated_on)
-- then
CREATE TABLE due_point (
  unit_id INTEGER NOT NULL,
  requirement_key INTEGER NOT NULL,
  in_force_from INTEGER NOT NULL,
  in_force_until INTEGER NOT NULL,
  standing TEXT NOT NULL CONSTRAINT ck_due_point_standing CHECK (standing in ('known', 'waiting', 'unknown', 'complete', 'no_programme')),
  airframe_id INTEGER,
  whichever TEXT NOT NULL CONSTRAINT ck_due_point_whichever CHECK (whichever in ('first', 'last')),
  gate TEXT NOT NULL CONSTRAINT ck_due_point_gate CHECK (gate in ('any', 'calendar', 'hours', 'cycles', 'operations')),
  calendar_due INTEGER,
  due_minutes INTEGER,
  due_cycles INTEGER,
  left_minutes INTEGER,
  left_cycles INTEGER,
  operations_left INTEGER,
  passed INTEGER NOT NULL CONSTRAINT ck_due_point_passed CHECK (passed in (0, 1)),
  charged INTEGER NOT NULL CONSTRAINT ck_due_point_charged CHECK (charged in (0, 1)),
  varied_calendar INTEGER,
  varied_minutes INTEGER,
  varied_cycles INTEGER,
  variation TEXT,
  if_fitted_months INTEGER,
  if_fitted_days INTEGER,
  estimated INTEGER NOT NULL CONSTRAINT ck_due_point_estimated CHECK (estimated in (0, 1)),
  basis TEXT,
  basis_day INTEGER,
  last_done INTEGER,
  unknown TEXT,
  no_programme_in_part INTEGER NOT NULL CONSTRAINT ck_due_point_no_programme_in_part CHECK (no_programme_in_part in (0, 1)),
  entry INTEGER NOT NULL,
  CONSTRAINT pk_due_point PRIMARY KEY (unit_id, requirement_key, in_force_from),
  CONSTRAINT ck_due_point_in_force CHECK (in_force_from < in_force_until),
  CONSTRAINT ck_due_point_no_programme CHECK ((standing = 'no_programme') = (requirement_key = 0)),
  CONSTRAINT ck_due_point_cause CHECK (standing <> 'unknown' or unknown is not null)
)
 WITHOUT ROWID,
 STRICT
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
CREATE TABLE eligibility (
  type TEXT NOT NULL,
  position TEXT NOT NULL,
  part_number TEXT NOT NULL,
  serial_from TEXT,
  serial_to TEXT,
  requires_modification TEXT,
  excludes_modification TEXT,
  requires_unit_modification TEXT,
  excludes_unit_modification TEXT,
  effective_from INTEGER,
  reference TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_eligibility PRIMARY KEY (entry_number, entry_item)
)
 STRICT
-- then
CREATE INDEX ix_eligibility_part_number ON eligibility (part_number)
-- then
CREATE INDEX ix_eligibility_type_position ON eligibility (type, position)
-- then
CREATE TABLE entry (
  number INTEGER NOT NULL,
  previous TEXT NOT NULL,
  kind TEXT NOT NULL,
  on_day INTEGER,
  recorded_at TEXT NOT NULL,
  recorded_by TEXT NOT NULL,
  request_key TEXT,
  body TEXT NOT NULL,
  digest TEXT NOT NULL,
  CONSTRAINT pk_entry PRIMARY KEY (number),
  CONSTRAINT uq_entry_digest UNIQUE (digest),
  CONSTRAINT ck_entry_number CHECK (number > 0),
  CONSTRAINT ck_entry_digest CHECK (length(digest) = 64),
  CONSTRAINT ck_entry_recorded_at CHECK (length(recorded_at) = 27)
)
 STRICT
-- then
CREATE INDEX ix_entry_kind ON entry (kind, number)
-- then
CREATE INDEX ix_entry_on_day ON entry (on_day)
-- then
CREATE INDEX ix_entry_recorded_at ON entry (recorded_at, number)
-- then
CREATE TABLE intermix (
  family TEXT NOT NULL,
  other_family TEXT NOT NULL,
  permitted INTEGER NOT NULL CONSTRAINT ck_intermix_permitted CHECK (permitted in (0, 1)),
  reference TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_intermix PRIMARY KEY (family, other_family)
)
 STRICT
-- then
CREATE TABLE ledger_head (
  one INTEGER NOT NULL,
  number INTEGER NOT NULL,
  digest TEXT NOT NULL,
  recorded_at TEXT NOT NULL,
  CONSTRAINT pk_ledger_head PRIMARY KEY (one),
  CONSTRAINT ck_ledger_head_one CHECK (one = 1),
  CONSTRAINT ck_ledger_head_number CHECK (number >= 0)
)
 STRICT
-- then
CREATE TABLE part (
  part_number TEXT NOT NULL,
  manufacturer TEXT,
  description TEXT,
  kind TEXT,
  rig TEXT CONSTRAINT ck_part_rig CHECK (rig in ('either', 'left', 'right', 'none')),
  mass_grams INTEGER,
  intermix_family TEXT,
  cage TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_part PRIMARY KEY (entry_number, entry_item)
)
 STRICT
-- then
CREATE INDEX ix_part_part_number ON part (part_number)
-- then
CREATE TABLE placement (
  unit_id INTEGER NOT NULL,
  from_moment INTEGER NOT NULL,
  until_moment INTEGER,
  kind TEXT NOT NULL CONSTRAINT ck_placement_kind CHECK (kind in ('position', 'slot', 'store', 'shop', 'loan', 'scrap', 'unknown')),
  place_key INTEGER,
  airframe_id INTEGER,
  position TEXT,
  parent_id INTEGER,
  slot TEXT,
  place_name TEXT,
  bin TEXT,
  condition TEXT CONSTRAINT ck_placement_condition CHECK (condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  hold TEXT,
  harness TEXT CONSTRAINT ck_placement_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  removal_kind TEXT,
  expected_back INTEGER,
  until_known INTEGER NOT NULL CONSTRAINT ck_placement_until_known CHECK (until_known in (0, 1)),
  entry INTEGER NOT NULL,
  until_entry INTEGER,
  CONSTRAINT pk_placement PRIMARY KEY (unit_id, from_moment),
  CONSTRAINT ck_placement_lasts CHECK (until_moment is null or until_moment > from_moment),
  CONSTRAINT ck_placement_place_key CHECK ((place_key is not null) = (kind in ('position', 'slot'))),
  CONSTRAINT ck_placement_airframe_id CHECK ((kind = 'position') = (airframe_id is not null)),
  CONSTRAINT ck_placement_parent_id CHECK ((kind = 'slot') = (parent_id is not null)),
  CONSTRAINT ck_placement_not_in_itself CHECK (parent_id is null or parent_id <> unit_id)
)
 WITHOUT ROWID,
 STRICT
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
CREATE TABLE position (
  type TEXT NOT NULL,
  position TEXT NOT NULL,
  side TEXT NOT NULL CONSTRAINT ck_position_side CHECK (side in ('left', 'right', 'centre')),
  harness TEXT CONSTRAINT ck_position_harness CHECK (harness in ('left', 'right')),
  pair TEXT,
  kind TEXT,
  required INTEGER NOT NULL CONSTRAINT ck_position_required CHECK (required in (0, 1)),
  retained TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_position PRIMARY KEY (type, position)
)
 STRICT
-- then
CREATE TABLE pressure (
  part_number TEXT NOT NULL,
  celsius INTEGER NOT NULL,
  minimum INTEGER NOT NULL,
  maximum INTEGER NOT NULL,
  unit TEXT,
  reference TEXT,
  revision TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_pressure PRIMARY KEY (part_number, celsius)
)
 STRICT
-- then
CREATE TABLE reading (
  airframe INTEGER NOT NULL,
  read_on INTEGER NOT NULL,
  minutes INTEGER NOT NULL,
  cycles INTEGER NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_reading PRIMARY KEY (airframe, read_on),
  CONSTRAINT ck_reading_minutes CHECK (minutes >= 0),
  CONSTRAINT ck_reading_cycles CHECK (cycles >= 0)
)
 WITHOUT ROWID,
 STRICT
-- then
CREATE TABLE reading_history (
  airframe INTEGER NOT NULL,
  read_on INTEGER NOT NULL,
  minutes INTEGER NOT NULL,
  cycles INTEGER NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  standing TEXT NOT NULL CONSTRAINT ck_reading_history_standing CHECK (standing in ('replaced', 'withdrawn')),
  retired_by INTEGER NOT NULL,
  CONSTRAINT pk_reading_history PRIMARY KEY (entry_number, entry_item)
)
 STRICT
-- then
CREATE INDEX ix_reading_history_airframe_read_on ON reading_history (airframe, read_on)
-- then
CREATE TABLE request (
  request_key TEXT NOT NULL,
  request_digest TEXT NOT NULL,
  first_number INTEGER NOT NULL,
  last_number INTEGER NOT NULL,
  CONSTRAINT pk_request PRIMARY KEY (request_key),
  CONSTRAINT ck_request_numbers CHECK (first_number <= last_number)
)
 STRICT
-- then
CREATE TABLE requirement (
  requirement TEXT NOT NULL,
  part_number TEXT NOT NULL,
  kind TEXT NOT NULL CONSTRAINT ck_requirement_kind CHECK (kind in ('overhaul', 'requalification', 'inspection', 'functional_test', 'replacement', 'life_limit', 'storage', 'soft_life', 'on_condition')),
  source TEXT CONSTRAINT ck_requirement_source CHECK (source in ('airworthiness_limitation', 'certification_maintenance', 'directive', 'dangerous_goods', 'manufacturer', 'programme', 'operator')),
  programme TEXT,
  edition TEXT,
  effective_from INTEGER,
  effective_to INTEGER,
  start TEXT CONSTRAINT ck_requirement_start CHECK (start in ('manufacture', 'cure', 'release', 'first_installation', 'installation', 'each_installation')),
  first_months INTEGER,
  first_days INTEGER,
  first_minutes INTEGER,
  first_cycles INTEGER,
  first_operations INTEGER,
  repeat_months INTEGER,
  repeat_days INTEGER,
  repeat_minutes INTEGER,
  repeat_cycles INTEGER,
  repeat_operations INTEGER,
  operation TEXT,
  whichever TEXT CONSTRAINT ck_requirement_whichever CHECK (whichever in ('first', 'last')),
  month_rule TEXT CONSTRAINT ck_requirement_month_rule CHECK (month_rule in ('last')),
  shelf_allowance_months INTEGER,
  done_at TEXT CONSTRAINT ck_requirement_done_at CHECK (done_at in ('shop', 'aircraft')),
  anchor TEXT CONSTRAINT ck_requirement_anchor CHECK (anchor in ('done', 'due')),
  window_early_days INTEGER,
  window_early_minutes INTEGER,
  window_early_cycles INTEGER,
  window_late_days INTEGER,
  window_late_minutes INTEGER,
  window_late_cycles INTEGER,
  variation_allowed INTEGER NOT NULL CONSTRAINT ck_requirement_variation_allowed CHECK (variation_allowed in (0, 1)),
  at_due TEXT CONSTRAINT ck_requirement_at_due CHECK (at_due in ('remove', 'no-refill')),
  resets TEXT,
  requires_unit_modification TEXT,
  reference TEXT,
  requirement_key INTEGER NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_requirement PRIMARY KEY (requirement_key)
)
 STRICT
-- then
CREATE INDEX ix_requirement_part_number ON requirement (part_number)
-- then
CREATE TABLE slot (
  part_number TEXT NOT NULL,
  slot TEXT NOT NULL,
  child_part_number TEXT NOT NULL,
  required INTEGER NOT NULL CONSTRAINT ck_slot_required CHECK (required in (0, 1)),
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_slot PRIMARY KEY (part_number, slot, child_part_number)
)
 STRICT
-- then
CREATE TABLE unit_state (
  unit_id INTEGER NOT NULL,
  part_number TEXT NOT NULL,
  serial_number TEXT NOT NULL,
  manufacturer TEXT,
  kind TEXT NOT NULL CONSTRAINT ck_unit_state_kind CHECK (kind in ('position', 'slot', 'store', 'shop', 'loan', 'scrap', 'unknown')),
  since_moment INTEGER NOT NULL,
  airframe_id INTEGER,
  position TEXT,
  parent_id INTEGER,
  slot TEXT,
  place_name TEXT,
  bin TEXT,
  carried_airframe_id INTEGER,
  root_id INTEGER,
  condition TEXT NOT NULL CONSTRAINT ck_unit_state_condition CHECK (condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  hold TEXT,
  harness TEXT NOT NULL CONSTRAINT ck_unit_state_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  minutes_since_new INTEGER,
  cycles_since_new INTEGER,
  released_on INTEGER,
  release_status TEXT,
  release_certificate TEXT,
  covered_by INTEGER,
  removed_on INTEGER,
  life_quality TEXT,
  part_fold TEXT NOT NULL,
  serial_fold TEXT NOT NULL,
  CONSTRAINT pk_unit_state PRIMARY KEY (unit_id)
)
 STRICT
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
CREATE TABLE waiver (
  finding TEXT NOT NULL,
  subject TEXT NOT NULL,
  reason TEXT NOT NULL,
  approved_by TEXT NOT NULL,
  expires_on INTEGER NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_waiver PRIMARY KEY (finding, subject)
)
 STRICT
-- then
CREATE TABLE airframe_modification (
  airframe INTEGER NOT NULL,
  modification TEXT NOT NULL,
  embodied_on INTEGER NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_airframe_modification PRIMARY KEY (airframe, modification),
  CONSTRAINT fk_airframe_modification_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE TABLE deferral (
  airframe INTEGER NOT NULL,
  position TEXT NOT NULL,
  opened INTEGER NOT NULL,
  item TEXT NOT NULL,
  expires INTEGER,
  log_page TEXT,
  conditions TEXT,
  authorised_by TEXT,
  closed INTEGER,
  closed_by TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_deferral PRIMARY KEY (airframe, position, opened, item),
  CONSTRAINT ck_deferral_closed CHECK (closed is null or closed >= opened),
  CONSTRAINT fk_deferral_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE TABLE entry_touch (
  unit_id INTEGER NOT NULL,
  number INTEGER NOT NULL,
  CONSTRAINT pk_entry_touch PRIMARY KEY (unit_id, number),
  CONSTRAINT fk_entry_touch_number FOREIGN KEY(number) REFERENCES entry (number)
)
 WITHOUT ROWID,
 STRICT
-- then
CREATE INDEX ix_entry_touch_number ON entry_touch (number, unit_id)
-- then
CREATE TABLE entry_touch_airframe (
  airframe_id INTEGER NOT NULL,
  number INTEGER NOT NULL,
  CONSTRAINT pk_entry_touch_airframe PRIMARY KEY (airframe_id, number),
  CONSTRAINT fk_entry_touch_airframe_number FOREIGN KEY(number) REFERENCES entry (number)
)
 WITHOUT ROWID,
 STRICT
-- then
CREATE INDEX ix_entry_touch_airframe_number ON entry_touch_airframe (number, airframe_id)
-- then
CREATE TABLE fact (
  number INTEGER NOT NULL,
  item INTEGER NOT NULL,
  fact_key TEXT NOT NULL,
  fact_digest TEXT NOT NULL,
  standing TEXT NOT NULL,
  retired_by INTEGER,
  CONSTRAINT pk_fact PRIMARY KEY (number, item),
  CONSTRAINT ck_fact_standing CHECK (standing in ('stands', 'replaced', 'withdrawn')),
  CONSTRAINT ck_fact_retired_by CHECK ((standing = 'stands') = (retired_by is null)),
  CONSTRAINT fk_fact_number FOREIGN KEY(number) REFERENCES entry (number)
)
 STRICT
-- then
CREATE UNIQUE INDEX ix_fact_one_stands ON fact (fact_key) WHERE standing = 'stands'
-- then
CREATE INDEX ix_fact_retired ON fact (fact_key) WHERE standing <> 'stands'
-- then
CREATE INDEX ix_fact_retired_by ON fact (retired_by) WHERE retired_by is not null
-- then
CREATE TABLE registration (
  airframe INTEGER NOT NULL,
  registration TEXT NOT NULL,
  registered_from INTEGER NOT NULL,
  registered_until INTEGER,
  registration_fold TEXT NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_registration PRIMARY KEY (airframe, registered_from),
  CONSTRAINT fk_registration_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_registration_registration_fold ON registration (registration_fold)
-- then
CREATE TABLE safety_device (
  airframe INTEGER NOT NULL,
  position TEXT NOT NULL,
  device TEXT NOT NULL,
  fitted_moment INTEGER NOT NULL,
  fitted_by TEXT NOT NULL,
  removed_moment INTEGER,
  removed_by TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_safety_device PRIMARY KEY (airframe, position, device, fitted_moment),
  CONSTRAINT ck_safety_device_removed_moment CHECK (removed_moment is null or removed_moment >= fitted_moment),
  CONSTRAINT fk_safety_device_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE TABLE unit (
  unit INTEGER NOT NULL,
  part_number TEXT NOT NULL,
  serial_number TEXT NOT NULL,
  manufacturer TEXT,
  manufactured TEXT,
  cured TEXT,
  expires TEXT,
  first_installed TEXT,
  minutes_since_new INTEGER,
  cycles_since_new INTEGER,
  operations_since_new INTEGER,
  as_of INTEGER NOT NULL,
  place TEXT NOT NULL CONSTRAINT ck_unit_place CHECK (place in ('position', 'slot', 'store', 'shop', 'loan', 'scrap', 'unknown')),
  airframe INTEGER,
  position TEXT,
  parent INTEGER,
  slot TEXT,
  place_name TEXT,
  bin TEXT,
  placed_on INTEGER,
  condition TEXT CONSTRAINT ck_unit_condition CHECK (condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  hold TEXT,
  harness TEXT CONSTRAINT ck_unit_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  life_quality TEXT CONSTRAINT ck_unit_life_quality CHECK (life_quality in ('documented', 'rebuilt', 'estimated')),
  owner TEXT,
  return_by INTEGER,
  batch TEXT,
  source TEXT,
  part_fold TEXT NOT NULL,
  serial_fold TEXT NOT NULL,
  manufacturer_fold TEXT NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_unit PRIMARY KEY (unit),
  CONSTRAINT uq_unit_identity UNIQUE (serial_fold, part_fold, manufacturer_fold),
  CONSTRAINT ck_unit_parent CHECK (parent is null or parent <> unit),
  CONSTRAINT fk_unit_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_unit_parent FOREIGN KEY(parent) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_unit_airframe ON unit (airframe) WHERE airframe is not null
-- then
CREATE INDEX ix_unit_parent ON unit (parent) WHERE parent is not null
-- then
CREATE INDEX ix_unit_part_fold ON unit (part_fold)
-- then
CREATE TABLE utilisation (
  airframe INTEGER NOT NULL,
  planned_from INTEGER NOT NULL,
  planned_to INTEGER NOT NULL,
  minutes_per_day INTEGER NOT NULL,
  millicycles_per_day INTEGER NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_utilisation PRIMARY KEY (airframe, planned_from),
  CONSTRAINT ck_utilisation_period CHECK (planned_from <= planned_to),
  CONSTRAINT ck_utilisation_rates CHECK (minutes_per_day >= 0 and millicycles_per_day >= 0),
  CONSTRAINT fk_utilisation_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE TABLE accomplishment (
  unit INTEGER NOT NULL,
  requirement TEXT NOT NULL,
  done_on TEXT NOT NULL,
  date_basis TEXT CONSTRAINT ck_accomplishment_date_basis CHECK (date_basis in ('release', 'mark', 'log')),
  minutes_since_new INTEGER,
  cycles_since_new INTEGER,
  operations_since_new INTEGER,
  minutes_since INTEGER,
  cycles_since INTEGER,
  operations_since INTEGER,
  stated_due INTEGER,
  certificate TEXT,
  certificate_organisation TEXT,
  sequence INTEGER,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_accomplishment PRIMARY KEY (entry_number, entry_item),
  CONSTRAINT fk_accomplishment_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_accomplishment_certificate ON accomplishment (certificate) WHERE certificate is not null
-- then
CREATE INDEX ix_accomplishment_unit ON accomplishment (unit, requirement, done_on)
-- then
CREATE TABLE certificate (
  tracking_number TEXT NOT NULL,
  organisation TEXT NOT NULL,
  part_number TEXT NOT NULL,
  serial_number TEXT NOT NULL,
  status TEXT NOT NULL,
  dated_on INTEGER NOT NULL,
  form TEXT,
  side TEXT CONSTRAINT ck_certificate_side CHECK (side in ('production', 'maintenance')),
  item TEXT,
  authority TEXT,
  approval TEXT,
  work_order TEXT,
  description TEXT,
  quantity INTEGER,
  batch TEXT,
  remarks TEXT,
  signatory TEXT,
  minutes_since_new INTEGER,
  cycles_since_new INTEGER,
  corrects TEXT,
  document TEXT,
  unit INTEGER,
  filed_stated INTEGER NOT NULL CONSTRAINT ck_certificate_filed_stated CHECK (filed_stated in (0, 1)),
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_certificate PRIMARY KEY (entry_number, entry_item),
  CONSTRAINT fk_certificate_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_certificate_tracking_number ON certificate (tracking_number, organisation)
-- then
CREATE INDEX ix_certificate_unit ON certificate (unit) WHERE unit is not null
-- then
CREATE TABLE movement (
  airframe INTEGER NOT NULL,
  position TEXT NOT NULL,
  moved_on INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  time_utc TEXT,
  station TEXT,
  removed INTEGER,
  removed_to TEXT CONSTRAINT ck_movement_removed_to CHECK (removed_to in ('store', 'shop', 'loan', 'scrap', 'unknown')),
  removed_to_name TEXT,
  removed_condition TEXT CONSTRAINT ck_movement_removed_condition CHECK (removed_condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  removal_kind TEXT CONSTRAINT ck_movement_removal_kind CHECK (removal_kind in ('scheduled', 'unscheduled', 'convenience', 'access', 'robbery', 'loan_return', 'modification')),
  defect TEXT,
  installed INTEGER,
  found INTEGER NOT NULL CONSTRAINT ck_movement_found CHECK (found in (0, 1)),
  displaced INTEGER,
  minutes_total INTEGER,
  cycles_total INTEGER,
  certificate TEXT,
  certificate_organisation TEXT,
  harness TEXT CONSTRAINT ck_movement_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  technical_log TEXT,
  work_order TEXT,
  data_reference TEXT,
  data_revision TEXT,
  signed_by TEXT,
  inspected_by TEXT,
  released_by TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_movement PRIMARY KEY (airframe, position, moved_on, sequence),
  CONSTRAINT ck_movement_names_a_unit CHECK (removed is not null or installed is not null),
  CONSTRAINT ck_movement_sequence CHECK (sequence between 0 and 9999),
  CONSTRAINT ck_movement_totals CHECK (minutes_total >= 0 and cycles_total >= 0),
  CONSTRAINT fk_movement_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_movement_removed FOREIGN KEY(removed) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_movement_installed FOREIGN KEY(installed) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_movement_displaced FOREIGN KEY(displaced) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
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
CREATE TABLE operation (
  unit INTEGER NOT NULL,
  operated_on INTEGER NOT NULL,
  operation TEXT NOT NULL,
  count INTEGER NOT NULL,
  reference TEXT,
  sequence INTEGER,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_operation PRIMARY KEY (entry_number, entry_item),
  CONSTRAINT fk_operation_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_operation_unit ON operation (unit, operated_on)
-- then
CREATE TABLE transfer (
  unit INTEGER NOT NULL,
  moved_on INTEGER NOT NULL,
  sequence INTEGER NOT NULL,
  target TEXT NOT NULL CONSTRAINT ck_transfer_target CHECK (target in ('store', 'shop', 'parent', 'loan', 'scrap', 'unknown')),
  organisation TEXT,
  store TEXT,
  bin TEXT,
  parent INTEGER,
  slot TEXT,
  condition TEXT CONSTRAINT ck_transfer_condition CHECK (condition in ('serviceable', 'unserviceable', 'unsalvageable', 'unknown')),
  hold TEXT,
  harness TEXT CONSTRAINT ck_transfer_harness CHECK (harness in ('left', 'right', 'none', 'unknown')),
  "order" TEXT,
  expected_back INTEGER,
  certificate TEXT,
  certificate_organisation TEXT,
  reference TEXT,
  signed_by TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_transfer PRIMARY KEY (unit, moved_on, sequence),
  CONSTRAINT ck_transfer_sequence CHECK (sequence between 0 and 9999),
  CONSTRAINT ck_transfer_parent CHECK (parent is null or parent <> unit),
  CONSTRAINT fk_transfer_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT fk_transfer_parent FOREIGN KEY(parent) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_transfer_parent ON transfer (parent) WHERE parent is not null
-- then
CREATE TABLE unit_modification (
  unit INTEGER NOT NULL,
  modification TEXT NOT NULL,
  embodied_on INTEGER NOT NULL,
  new_part_number TEXT,
  certificate TEXT,
  certificate_organisation TEXT,
  reference TEXT,
  new_part_fold TEXT NOT NULL,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_unit_modification PRIMARY KEY (unit, modification),
  CONSTRAINT fk_unit_modification_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_unit_modification_new_part_fold ON unit_modification (new_part_fold) WHERE new_part_fold <> ''
-- then
CREATE TABLE variation (
  unit INTEGER NOT NULL,
  requirement TEXT NOT NULL,
  until_on INTEGER,
  until_minutes INTEGER,
  until_cycles INTEGER,
  approved_on INTEGER,
  approved_by TEXT,
  reference TEXT,
  entry_number INTEGER NOT NULL,
  entry_item INTEGER NOT NULL,
  CONSTRAINT pk_variation PRIMARY KEY (entry_number, entry_item),
  CONSTRAINT fk_variation_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_variation_unit ON variation (unit, requirement)
