"""Laws that hold on every site: looser asks cost no more, the same question has one answer."""
