CREATE TABLE ground_time (
	airframe BIGINT NOT NULL,
	ground_from BIGINT NOT NULL,
	ground_to BIGINT NOT NULL,
	station TEXT COLLATE "C" NOT NULL,
	reference TEXT COLLATE "C",
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_ground_time PRIMARY KEY (airframe, ground_from),
	CONSTRAINT ck_ground_time_ground_to CHECK (ground_to >= ground_from),
	CONSTRAINT fk_ground_time_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
-- then
COMMENT ON TABLE ground_time IS 'Periods on the ground long enough for work.'
-- then
COMMENT ON COLUMN ground_time.ground_from IS 'ordinal day'
-- then
COMMENT ON COLUMN ground_time.ground_to IS 'ordinal day'
-- then
CREATE TABLE least_life (
	operator TEXT COLLATE "C",
	part_number TEXT COLLATE "C",
	effective_from BIGINT NOT NULL,
	days BIGINT NOT NULL,
	reference TEXT COLLATE "C" NOT NULL,
	entry_number BIGINT NOT NULL,
	entry_item BIGINT NOT NULL,
	CONSTRAINT pk_least_life PRIMARY KEY (entry_number, entry_item),
	CONSTRAINT ck_least_life_days CHECK (days > 0)
)
-- then
COMMENT ON TABLE least_life IS 'The days of life a unit must have left when it is fitted.'
-- then
COMMENT ON COLUMN least_life.operator IS 'null: of every operator'
-- then
COMMENT ON COLUMN least_life.part_number IS 'null: of every part'
-- then
COMMENT ON COLUMN least_life.effective_from IS 'ordinal day'
