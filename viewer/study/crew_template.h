#pragma once
/// What the templates for crews say, for the rooms above that may not reach the importers themselves.
#include "importers/template_words.h"
