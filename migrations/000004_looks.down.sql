DROP INDEX components_late;
DROP INDEX finish_steps_with_reason;
DROP INDEX finish_steps_in_hand;
