CREATE TABLE ground_time (
	airframe INTEGER NOT NULL,
	ground_from INTEGER NOT NULL,
	ground_to INTEGER NOT NULL,
	station TEXT NOT NULL,
	reference TEXT,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_ground_time PRIMARY KEY (airframe, ground_from),
	CONSTRAINT ck_ground_time_ground_to CHECK (ground_to >= ground_from),
	CONSTRAINT fk_ground_time_airframe FOREIGN KEY(airframe) REFERENCES airframe (airframe) DEFERRABLE INITIALLY DEFERRED
)
 STRICT
-- then
CREATE TABLE least_life (
	operator TEXT,
	part_number TEXT,
	effective_from INTEGER NOT NULL,
	days INTEGER NOT NULL,
	reference TEXT NOT NULL,
	entry_number INTEGER NOT NULL,
	entry_item INTEGER NOT NULL,
	CONSTRAINT pk_least_life PRIMARY KEY (entry_number, entry_item),
	CONSTRAINT ck_least_life_days CHECK (days > 0)
)
 STRICT
