DROP TABLE audit, sessions, devices, people, settings;
