CREATE TABLE counter (
	counter TEXT NOT NULL,
	measure TEXT NOT NULL CONSTRAINT ck_counter_measure CHECK (measure in ('count', 'hours')),
	description TEXT,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_counter PRIMARY KEY (counter)
)
 STRICT
-- then
CREATE TABLE counter_reading (
	airframe INTEGER NOT NULL,
	counter TEXT NOT NULL,
	read_on INTEGER NOT NULL,
	total INTEGER NOT NULL,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_counter_reading PRIMARY KEY (airframe, counter, read_on),
	CONSTRAINT ck_counter_reading_total CHECK (total >= 0),
	CONSTRAINT fk_counter_reading_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_counter_reading_counter FOREIGN KEY(counter) REFERENCES counter (counter) DEFERRABLE INITIALLY DEFERRED
)
 WITHOUT ROWID,
 STRICT
-- then
CREATE TABLE unit_counter (
	unit INTEGER NOT NULL,
	counter TEXT NOT NULL,
	since_new INTEGER NOT NULL,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_unit_counter PRIMARY KEY (unit, counter),
	CONSTRAINT ck_unit_counter_since_new CHECK (since_new >= 0),
	CONSTRAINT fk_unit_counter_unit FOREIGN KEY(unit) REFERENCES unit (unit) DEFERRABLE INITIALLY DEFERRED,
	CONSTRAINT fk_unit_counter_counter FOREIGN KEY(counter) REFERENCES counter (counter) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
ALTER TABLE requirement ADD COLUMN counter TEXT
-- then
ALTER TABLE due_point ADD COLUMN counter TEXT
-- then
ALTER TABLE due_point ADD COLUMN due_counter INTEGER
-- then
ALTER TABLE due_point ADD COLUMN left_counter INTEGER
-- then
ALTER TABLE due_point ADD COLUMN varied_counter INTEGER
-- then
ALTER TABLE accomplishment ADD COLUMN counter TEXT
-- then
ALTER TABLE accomplishment ADD COLUMN counter_since_new INTEGER
-- then
ALTER TABLE accomplishment ADD COLUMN counter_since INTEGER
-- then
DROP INDEX ix_due_point_nothing_left
-- then
CREATE INDEX ix_due_point_nothing_left ON due_point (unit_id) WHERE (passed = 1 or left_minutes <= 0 or left_cycles <= 0 or left_counter <= 0 or operations_left <= 0) and in_force_until = 3652059
-- then
CREATE INDEX ix_due_point_counter ON due_point (airframe_id, counter, due_counter) WHERE airframe_id is not null and counter is not null and in_force_until = 3652059
