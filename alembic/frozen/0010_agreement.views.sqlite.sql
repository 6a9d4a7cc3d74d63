CREATE VIEW agreement AS
SELECT
  certificate_line.tracking_number AS certificate, certificate_line.organisation, certificate_line.item,
  date((certificate_line.dated_on - 719163) * 86400, 'unixepoch') AS dated_on, certificate_line.status,
  certificate_line.part_number AS printed_part_number, certificate_line.serial_number AS printed_serial_number,
  unit_state.part_number AS filed_part_number, unit_state.serial_number AS filed_serial_number,
  unit_state.manufacturer AS filed_manufacturer,
  certificate_line.expected_part_number, certificate_line.expected_serial_number, certificate_line.verdict,
  CASE
    WHEN certificate_line.unit_id IS NULL THEN 'unfiled'
    WHEN certificate_line.part_verdict NOT IN ('exact', 'formatting')
      AND certificate_line.serial_verdict NOT IN ('exact', 'formatting') THEN 'part and serial number'
    WHEN certificate_line.part_verdict NOT IN ('exact', 'formatting') THEN 'part number'
    WHEN certificate_line.serial_verdict NOT IN ('exact', 'formatting') THEN 'serial number'
    WHEN certificate_line.part_verdict = 'exact' AND certificate_line.serial_verdict = 'exact' THEN 'none'
    ELSE 'writing'
  END AS difference,
  certificate_line.part_verdict, certificate_line.serial_verdict, certificate_line.entry, certificate_line.unit_id
FROM certificate_line LEFT JOIN unit_state ON unit_state.unit_id = certificate_line.unit_id
