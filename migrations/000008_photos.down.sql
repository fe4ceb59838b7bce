DROP TABLE piece_photos, photos;
