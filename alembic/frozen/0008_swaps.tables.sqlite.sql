CREATE TABLE release_item (
	type TEXT NOT NULL,
	position TEXT,
	position_kind TEXT,
	category TEXT NOT NULL CONSTRAINT ck_release_item_category CHECK (category in ('device', 'lock', 'test', 'inspection')),
	item TEXT NOT NULL,
	runs INTEGER,
	expects TEXT,
	reference TEXT,
	revision TEXT,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_release_item PRIMARY KEY (entry_number, entry_item),
	CONSTRAINT ck_release_item_runs CHECK (runs > 0)
)
 STRICT
-- then
CREATE TABLE pressure_band (
	part_number TEXT NOT NULL,
	millicelsius INTEGER NOT NULL,
	minimum INTEGER NOT NULL,
	maximum INTEGER NOT NULL,
	pressure_unit TEXT NOT NULL CONSTRAINT ck_pressure_band_pressure_unit CHECK (pressure_unit in ('psi', 'bar', 'kPa', 'MPa')),
	reference TEXT,
	revision TEXT,
	part_fold TEXT NOT NULL,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_pressure_band PRIMARY KEY (part_number, millicelsius),
	CONSTRAINT ck_pressure_band_band CHECK (minimum >= 0 and maximum >= minimum)
)
 STRICT
-- then
CREATE INDEX ix_pressure_band_part_fold ON pressure_band (part_fold, millicelsius)
-- then
CREATE TABLE authorisation (
	staff TEXT NOT NULL,
	role TEXT NOT NULL CONSTRAINT ck_authorisation_role CHECK (role in ('performed', 'inspected', 'released')),
	type TEXT,
	position_kind TEXT,
	valid_from INTEGER NOT NULL,
	valid_to INTEGER,
	reference TEXT,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_authorisation PRIMARY KEY (entry_number, entry_item),
	CONSTRAINT ck_authorisation_valid_to CHECK (valid_to >= valid_from)
)
 STRICT
-- then
CREATE TABLE airframe_state (
	airframe INTEGER NOT NULL,
	since_on INTEGER NOT NULL,
	state TEXT NOT NULL CONSTRAINT ck_airframe_state_state CHECK (state in ('in_service', 'parked', 'withdrawn', 'accident')),
	reference TEXT,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_airframe_state PRIMARY KEY (airframe, since_on),
	CONSTRAINT fk_airframe_state_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE TABLE swap_plan (
	swap TEXT NOT NULL,
	airframe INTEGER NOT NULL,
	position TEXT NOT NULL,
	planned_on INTEGER NOT NULL,
	target_on INTEGER,
	incoming INTEGER,
	outgoing INTEGER,
	planned_by TEXT NOT NULL,
	work_order TEXT,
	data_reference TEXT,
	data_revision TEXT,
	remarks TEXT,
	swap_fold TEXT NOT NULL,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_swap_plan PRIMARY KEY (swap),
	CONSTRAINT uq_swap_plan_swap_fold UNIQUE (swap_fold),
	CONSTRAINT ck_swap_plan_units CHECK (incoming is null or outgoing is null or incoming <> outgoing),
	CONSTRAINT fk_swap_plan_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_swap_plan_incoming FOREIGN KEY(incoming) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_swap_plan_outgoing FOREIGN KEY(outgoing) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_swap_plan_airframe ON swap_plan (airframe)
-- then
CREATE INDEX ix_swap_plan_incoming ON swap_plan (incoming) WHERE incoming is not null
-- then
CREATE INDEX ix_swap_plan_outgoing ON swap_plan (outgoing) WHERE outgoing is not null
-- then
CREATE TABLE swap_step (
	swap TEXT NOT NULL,
	airframe INTEGER NOT NULL,
	step TEXT NOT NULL CONSTRAINT ck_swap_step_step CHECK (step in ('checked', 'begun', 'given_up')),
	stepped_on INTEGER NOT NULL,
	sequence INTEGER NOT NULL,
	signed_by TEXT NOT NULL,
	incoming INTEGER,
	answer TEXT,
	stops INTEGER,
	conditions INTEGER,
	ledger_head TEXT,
	why TEXT,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_swap_step PRIMARY KEY (swap, step, stepped_on, sequence),
	CONSTRAINT ck_swap_step_sequence CHECK (sequence between 0 and 9999),
	CONSTRAINT fk_swap_step_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_swap_step_incoming FOREIGN KEY(incoming) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE TABLE position_work (
	airframe INTEGER NOT NULL,
	position TEXT NOT NULL,
	category TEXT NOT NULL CONSTRAINT ck_position_work_category CHECK (category in ('device', 'lock', 'test', 'retained')),
	item TEXT NOT NULL,
	outcome TEXT NOT NULL CONSTRAINT ck_position_work_outcome CHECK (outcome in ('placed', 'removed', 'not_used', 'broken', 'remade', 'not_broken', 'passed', 'failed', 'stayed', 'left', 'not_found')),
	worked_on INTEGER NOT NULL,
	sequence INTEGER NOT NULL,
	swap TEXT,
	run INTEGER,
	value TEXT,
	signed_by TEXT NOT NULL,
	reference TEXT,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_position_work PRIMARY KEY (airframe, position, item, worked_on, sequence),
	CONSTRAINT ck_position_work_sequence CHECK (sequence between 0 and 9999),
	CONSTRAINT ck_position_work_run CHECK (run > 0),
	CONSTRAINT fk_position_work_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_position_work_swap ON position_work (swap) WHERE swap is not null
-- then
CREATE TABLE gauge_reading (
	unit INTEGER NOT NULL,
	read_on INTEGER NOT NULL,
	sequence INTEGER NOT NULL,
	pressure INTEGER NOT NULL,
	pressure_unit TEXT NOT NULL CONSTRAINT ck_gauge_reading_pressure_unit CHECK (pressure_unit in ('psi', 'bar', 'kPa', 'MPa')),
	millicelsius INTEGER NOT NULL,
	seen_by TEXT NOT NULL,
	swap TEXT,
	airframe INTEGER,
	reference TEXT,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_gauge_reading PRIMARY KEY (unit, read_on, sequence),
	CONSTRAINT ck_gauge_reading_sequence CHECK (sequence between 0 and 9999),
	CONSTRAINT ck_gauge_reading_pressure CHECK (pressure >= 0),
	CONSTRAINT fk_gauge_reading_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_gauge_reading_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE INDEX ix_gauge_reading_swap ON gauge_reading (swap) WHERE swap is not null
-- then
CREATE TABLE swap_signature (
	swap TEXT NOT NULL,
	airframe INTEGER NOT NULL,
	role TEXT NOT NULL CONSTRAINT ck_swap_signature_role CHECK (role in ('performed', 'inspected', 'released')),
	signed_on INTEGER NOT NULL,
	sequence INTEGER NOT NULL,
	signed_by TEXT NOT NULL,
	exception TEXT,
	reference TEXT,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_swap_signature PRIMARY KEY (swap, role, signed_on, sequence),
	CONSTRAINT ck_swap_signature_sequence CHECK (sequence between 0 and 9999),
	CONSTRAINT fk_swap_signature_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE TABLE deferral (
	airframe INTEGER NOT NULL,
	position TEXT NOT NULL,
	opened_on INTEGER NOT NULL,
	item TEXT NOT NULL,
	expires_on INTEGER,
	log_page TEXT,
	conditions TEXT,
	authorised_by TEXT NOT NULL,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_deferral PRIMARY KEY (airframe, position, opened_on),
	CONSTRAINT ck_deferral_expires_on CHECK (expires_on >= opened_on),
	CONSTRAINT fk_deferral_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE TABLE deferral_closed (
	airframe INTEGER NOT NULL,
	position TEXT NOT NULL,
	opened_on INTEGER NOT NULL,
	closed_on INTEGER NOT NULL,
	closed_by TEXT NOT NULL,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_deferral_closed PRIMARY KEY (airframe, position, opened_on),
	CONSTRAINT ck_deferral_closed_closed_on CHECK (closed_on >= opened_on),
	CONSTRAINT fk_deferral_closed_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
ALTER TABLE movement ADD COLUMN swap TEXT
-- then
CREATE INDEX ix_movement_swap ON movement (swap) WHERE swap is not null
-- then
ALTER TABLE transfer ADD COLUMN disposition TEXT CONSTRAINT ck_transfer_disposition CHECK (disposition in ('record', 'tag', 'mark', 'permanent_mark', 'segregated', 'mutilated', 'other'))
-- then
ALTER TABLE operation ADD COLUMN intent TEXT CONSTRAINT ck_operation_intent CHECK (intent in ('intended', 'unintended'))
-- then
CREATE INDEX ix_unit_state_scrap ON unit_state (unit_id) WHERE kind = 'scrap'
