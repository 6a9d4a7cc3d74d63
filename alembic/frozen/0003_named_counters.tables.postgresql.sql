CREATE TABLE counter (
	counter TEXT COLLATE "C" NOT NULL,
	measure TEXT COLLATE "C" NOT NULL CONSTRAINT ck_counter_measure CHECK (measure in ('count', 'hours')),
	description TEXT COLLATE "C",
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_counter PRIMARY KEY (counter)
)
-- then
COMMENT ON TABLE counter IS 'Counters beyond flight hours and cycles, named by the operator.'
-- then
CREATE TABLE counter_reading (
	airframe BIGINT NOT NULL,
	counter TEXT COLLATE "C" NOT NULL,
	read_on BIGINT NOT NULL,
	total BIGINT NOT NULL,
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_counter_reading PRIMARY KEY (airframe, counter, read_on),
	CONSTRAINT ck_counter_reading_total CHECK (total >= 0),
	CONSTRAINT fk_counter_reading_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_counter_reading_counter FOREIGN KEY(counter) REFERENCES counter (counter) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE counter_reading IS 'An airframe''s own total of a counter at the end of a day.'
-- then
COMMENT ON COLUMN counter_reading.read_on IS 'ordinal day'
-- then
COMMENT ON COLUMN counter_reading.total IS 'a whole number, or minutes'
-- then
CREATE TABLE unit_counter (
	unit BIGINT NOT NULL,
	counter TEXT COLLATE "C" NOT NULL,
	since_new BIGINT NOT NULL,
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_unit_counter PRIMARY KEY (unit, counter),
	CONSTRAINT ck_unit_counter_since_new CHECK (since_new >= 0),
	CONSTRAINT fk_unit_counter_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_unit_counter_counter FOREIGN KEY(counter) REFERENCES counter (counter) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE unit_counter IS 'What a unit had run in a counter since new at its opening statement.'
-- then
COMMENT ON COLUMN unit_counter.since_new IS 'a whole number, or minutes'
-- then
ALTER TABLE requirement ADD COLUMN counter TEXT COLLATE "C"
-- then
COMMENT ON COLUMN requirement.counter IS 'the counter its limits in one axis are in'
-- then
ALTER TABLE due_point ADD COLUMN counter TEXT COLLATE "C"
-- then
COMMENT ON COLUMN due_point.counter IS 'the counter of the three columns after it'
-- then
ALTER TABLE due_point ADD COLUMN due_counter BIGINT
-- then
COMMENT ON COLUMN due_point.due_counter IS 'the airframe''s total of the counter at which it falls due'
-- then
ALTER TABLE due_point ADD COLUMN left_counter BIGINT
-- then
COMMENT ON COLUMN due_point.left_counter IS 'when not carried'
-- then
ALTER TABLE due_point ADD COLUMN varied_counter BIGINT
-- then
ALTER TABLE accomplishment ADD COLUMN counter TEXT COLLATE "C"
-- then
COMMENT ON COLUMN accomplishment.counter IS 'the counter of the two columns after it'
-- then
ALTER TABLE accomplishment ADD COLUMN counter_since_new BIGINT
-- then
ALTER TABLE accomplishment ADD COLUMN counter_since BIGINT
-- then
DROP INDEX ix_due_point_nothing_left
-- then
CREATE INDEX ix_due_point_nothing_left ON due_point (unit_id) WHERE (passed = 1 or left_minutes <= 0 or left_cycles <= 0 or left_counter <= 0 or operations_left <= 0) and in_force_until = 3652059
-- then
CREATE INDEX ix_due_point_counter ON due_point (airframe_id, counter, due_counter) WHERE airframe_id is not null and counter is not null and in_force_until = 3652059
