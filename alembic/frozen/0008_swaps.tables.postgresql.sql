CREATE TABLE release_item (
	type TEXT COLLATE "C" NOT NULL,
	position TEXT COLLATE "C",
	position_kind TEXT COLLATE "C",
	category TEXT COLLATE "C" NOT NULL CONSTRAINT ck_release_item_category CHECK (category in ('device', 'lock', 'test', 'inspection')),
	item TEXT COLLATE "C" NOT NULL,
	runs BIGINT,
	expects TEXT COLLATE "C",
	reference TEXT COLLATE "C",
	revision TEXT COLLATE "C",
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_release_item PRIMARY KEY (entry_number, entry_item),
	CONSTRAINT ck_release_item_runs CHECK (runs > 0)
)
-- then
COMMENT ON TABLE release_item IS 'What must be accounted for before a door is released.'
-- then
COMMENT ON COLUMN release_item.position IS 'null: at every position of the type'
-- then
COMMENT ON COLUMN release_item.position_kind IS 'null: at positions of every kind'
-- then
CREATE TABLE pressure_band (
	part_number TEXT COLLATE "C" NOT NULL,
	millicelsius BIGINT NOT NULL,
	minimum BIGINT NOT NULL,
	maximum BIGINT NOT NULL,
	pressure_unit TEXT COLLATE "C" NOT NULL CONSTRAINT ck_pressure_band_pressure_unit CHECK (pressure_unit in ('psi', 'bar', 'kPa', 'MPa')),
	reference TEXT COLLATE "C",
	revision TEXT COLLATE "C",
	part_fold TEXT COLLATE "C" NOT NULL,
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_pressure_band PRIMARY KEY (part_number, millicelsius),
	CONSTRAINT ck_pressure_band_band CHECK (minimum >= 0 and maximum >= minimum)
)
-- then
COMMENT ON TABLE pressure_band IS 'What a gauge may show at a temperature.'
-- then
COMMENT ON COLUMN pressure_band.minimum IS 'thousandths of the unit'
-- then
COMMENT ON COLUMN pressure_band.maximum IS 'thousandths of the unit'
-- then
COMMENT ON COLUMN pressure_band.part_fold IS 'part_number, folded'
-- then
CREATE INDEX ix_pressure_band_part_fold ON pressure_band (part_fold, millicelsius)
-- then
CREATE TABLE authorisation (
	staff TEXT COLLATE "C" NOT NULL,
	role TEXT COLLATE "C" NOT NULL CONSTRAINT ck_authorisation_role CHECK (role in ('performed', 'inspected', 'released')),
	type TEXT COLLATE "C",
	position_kind TEXT COLLATE "C",
	valid_from BIGINT NOT NULL,
	valid_to BIGINT,
	reference TEXT COLLATE "C",
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_authorisation PRIMARY KEY (entry_number, entry_item),
	CONSTRAINT ck_authorisation_valid_to CHECK (valid_to >= valid_from)
)
-- then
COMMENT ON TABLE authorisation IS 'What persons may sign.'
-- then
COMMENT ON COLUMN authorisation.type IS 'null: on every type'
-- then
COMMENT ON COLUMN authorisation.position_kind IS 'null: for every kind of position'
-- then
COMMENT ON COLUMN authorisation.valid_from IS 'ordinal day'
-- then
COMMENT ON COLUMN authorisation.valid_to IS 'ordinal day'
-- then
CREATE TABLE airframe_state (
	airframe BIGINT NOT NULL,
	since_on BIGINT NOT NULL,
	state TEXT COLLATE "C" NOT NULL CONSTRAINT ck_airframe_state_state CHECK (state in ('in_service', 'parked', 'withdrawn', 'accident')),
	reference TEXT COLLATE "C",
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_airframe_state PRIMARY KEY (airframe, since_on),
	CONSTRAINT fk_airframe_state_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE airframe_state IS 'What airframes are doing from a day on.'
-- then
COMMENT ON COLUMN airframe_state.since_on IS 'ordinal day'
-- then
CREATE TABLE swap_plan (
	swap TEXT COLLATE "C" NOT NULL,
	airframe BIGINT NOT NULL,
	position TEXT COLLATE "C" NOT NULL,
	planned_on BIGINT NOT NULL,
	target_on BIGINT,
	incoming BIGINT,
	outgoing BIGINT,
	planned_by TEXT COLLATE "C" NOT NULL,
	work_order TEXT COLLATE "C",
	data_reference TEXT COLLATE "C",
	data_revision TEXT COLLATE "C",
	remarks TEXT COLLATE "C",
	swap_fold TEXT COLLATE "C" NOT NULL,
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_swap_plan PRIMARY KEY (swap),
	CONSTRAINT uq_swap_plan_swap_fold UNIQUE (swap_fold),
	CONSTRAINT ck_swap_plan_units CHECK (incoming is null or outgoing is null or incoming <> outgoing),
	CONSTRAINT fk_swap_plan_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_swap_plan_incoming FOREIGN KEY(incoming) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_swap_plan_outgoing FOREIGN KEY(outgoing) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE swap_plan IS 'Swaps by number: which unit is to go where.'
-- then
COMMENT ON COLUMN swap_plan.planned_on IS 'ordinal day'
-- then
COMMENT ON COLUMN swap_plan.target_on IS 'ordinal day'
-- then
COMMENT ON COLUMN swap_plan.swap_fold IS 'swap, folded'
-- then
CREATE INDEX ix_swap_plan_airframe ON swap_plan (airframe)
-- then
CREATE INDEX ix_swap_plan_incoming ON swap_plan (incoming) WHERE incoming is not null
-- then
CREATE INDEX ix_swap_plan_outgoing ON swap_plan (outgoing) WHERE outgoing is not null
-- then
CREATE TABLE swap_step (
	swap TEXT COLLATE "C" NOT NULL,
	airframe BIGINT NOT NULL,
	step TEXT COLLATE "C" NOT NULL CONSTRAINT ck_swap_step_step CHECK (step in ('checked', 'begun', 'given_up')),
	stepped_on BIGINT NOT NULL,
	sequence BIGINT NOT NULL,
	signed_by TEXT COLLATE "C" NOT NULL,
	incoming BIGINT,
	answer TEXT COLLATE "C",
	stops BIGINT,
	conditions BIGINT,
	ledger_head TEXT COLLATE "C",
	why TEXT COLLATE "C",
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_swap_step PRIMARY KEY (swap, step, stepped_on, sequence),
	CONSTRAINT ck_swap_step_sequence CHECK (sequence between 0 and 9999),
	CONSTRAINT fk_swap_step_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_swap_step_incoming FOREIGN KEY(incoming) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE swap_step IS 'Steps of swaps: checked, begun, given up.'
-- then
COMMENT ON COLUMN swap_step.stepped_on IS 'ordinal day'
-- then
CREATE TABLE position_work (
	airframe BIGINT NOT NULL,
	position TEXT COLLATE "C" NOT NULL,
	category TEXT COLLATE "C" NOT NULL CONSTRAINT ck_position_work_category CHECK (category in ('device', 'lock', 'test', 'retained')),
	item TEXT COLLATE "C" NOT NULL,
	outcome TEXT COLLATE "C" NOT NULL CONSTRAINT ck_position_work_outcome CHECK (outcome in ('placed', 'removed', 'not_used', 'broken', 'remade', 'not_broken', 'passed', 'failed', 'stayed', 'left', 'not_found')),
	worked_on BIGINT NOT NULL,
	sequence BIGINT NOT NULL,
	swap TEXT COLLATE "C",
	run BIGINT,
	value TEXT COLLATE "C",
	signed_by TEXT COLLATE "C" NOT NULL,
	reference TEXT COLLATE "C",
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_position_work PRIMARY KEY (airframe, position, item, worked_on, sequence),
	CONSTRAINT ck_position_work_sequence CHECK (sequence between 0 and 9999),
	CONSTRAINT ck_position_work_run CHECK (run > 0),
	CONSTRAINT fk_position_work_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE position_work IS 'Safety devices, locks, tests and retained items at positions.'
-- then
COMMENT ON COLUMN position_work.worked_on IS 'ordinal day'
-- then
CREATE INDEX ix_position_work_swap ON position_work (swap) WHERE swap is not null
-- then
CREATE TABLE gauge_reading (
	unit BIGINT NOT NULL,
	read_on BIGINT NOT NULL,
	sequence BIGINT NOT NULL,
	pressure BIGINT NOT NULL,
	pressure_unit TEXT COLLATE "C" NOT NULL CONSTRAINT ck_gauge_reading_pressure_unit CHECK (pressure_unit in ('psi', 'bar', 'kPa', 'MPa')),
	millicelsius BIGINT NOT NULL,
	seen_by TEXT COLLATE "C" NOT NULL,
	swap TEXT COLLATE "C",
	airframe BIGINT,
	reference TEXT COLLATE "C",
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_gauge_reading PRIMARY KEY (unit, read_on, sequence),
	CONSTRAINT ck_gauge_reading_sequence CHECK (sequence between 0 and 9999),
	CONSTRAINT ck_gauge_reading_pressure CHECK (pressure >= 0),
	CONSTRAINT fk_gauge_reading_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_gauge_reading_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE gauge_reading IS 'What gauges showed.'
-- then
COMMENT ON COLUMN gauge_reading.read_on IS 'ordinal day'
-- then
COMMENT ON COLUMN gauge_reading.pressure IS 'thousandths of the unit'
-- then
CREATE INDEX ix_gauge_reading_swap ON gauge_reading (swap) WHERE swap is not null
-- then
CREATE TABLE swap_signature (
	swap TEXT COLLATE "C" NOT NULL,
	airframe BIGINT NOT NULL,
	role TEXT COLLATE "C" NOT NULL CONSTRAINT ck_swap_signature_role CHECK (role in ('performed', 'inspected', 'released')),
	signed_on BIGINT NOT NULL,
	sequence BIGINT NOT NULL,
	signed_by TEXT COLLATE "C" NOT NULL,
	exception TEXT COLLATE "C",
	reference TEXT COLLATE "C",
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_swap_signature PRIMARY KEY (swap, role, signed_on, sequence),
	CONSTRAINT ck_swap_signature_sequence CHECK (sequence between 0 and 9999),
	CONSTRAINT fk_swap_signature_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE swap_signature IS 'Signatures for swaps.'
-- then
COMMENT ON COLUMN swap_signature.signed_on IS 'ordinal day'
-- then
COMMENT ON COLUMN swap_signature.exception IS 'why one person inspected their own work'
-- then
CREATE TABLE deferral (
	airframe BIGINT NOT NULL,
	position TEXT COLLATE "C" NOT NULL,
	opened_on BIGINT NOT NULL,
	item TEXT COLLATE "C" NOT NULL,
	expires_on BIGINT,
	log_page TEXT COLLATE "C",
	conditions TEXT COLLATE "C",
	authorised_by TEXT COLLATE "C" NOT NULL,
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_deferral PRIMARY KEY (airframe, position, opened_on),
	CONSTRAINT ck_deferral_expires_on CHECK (expires_on >= opened_on),
	CONSTRAINT fk_deferral_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE deferral IS 'Inoperative items carried under the operator''s provisions.'
-- then
COMMENT ON COLUMN deferral.opened_on IS 'ordinal day'
-- then
COMMENT ON COLUMN deferral.expires_on IS 'ordinal day'
-- then
CREATE TABLE deferral_closed (
	airframe BIGINT NOT NULL,
	position TEXT COLLATE "C" NOT NULL,
	opened_on BIGINT NOT NULL,
	closed_on BIGINT NOT NULL,
	closed_by TEXT COLLATE "C" NOT NULL,
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_deferral_closed PRIMARY KEY (airframe, position, opened_on),
	CONSTRAINT ck_deferral_closed_closed_on CHECK (closed_on >= opened_on),
	CONSTRAINT fk_deferral_closed_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE deferral_closed IS 'Deferrals that are over.'
-- then
COMMENT ON COLUMN deferral_closed.opened_on IS 'ordinal day'
-- then
COMMENT ON COLUMN deferral_closed.closed_on IS 'ordinal day'
-- then
ALTER TABLE movement ADD COLUMN swap TEXT COLLATE "C"
-- then
CREATE INDEX ix_movement_swap ON movement (swap) WHERE swap is not null
-- then
ALTER TABLE transfer ADD COLUMN disposition TEXT COLLATE "C" CONSTRAINT ck_transfer_disposition CHECK (disposition in ('record', 'tag', 'mark', 'permanent_mark', 'segregated', 'mutilated', 'other'))
-- then
ALTER TABLE operation ADD COLUMN intent TEXT COLLATE "C" CONSTRAINT ck_operation_intent CHECK (intent in ('intended', 'unintended'))
-- then
CREATE INDEX ix_unit_state_scrap ON unit_state (unit_id) WHERE kind = 'scrap'
-- then
COMMENT ON COLUMN movement.swap IS 'the planned swap that it carries out'
-- then
COMMENT ON COLUMN transfer.disposition IS 'of a part that is scrapped'
-- then
COMMENT ON COLUMN operation.intent IS 'of a deployment'
