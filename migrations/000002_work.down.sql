DROP TABLE progress_links, finish_steps, components, cars, route_stages, routes;
DROP FUNCTION finish_steps_in_order;
